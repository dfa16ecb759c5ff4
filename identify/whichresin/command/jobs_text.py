"""Jobs in lines: the list, one job, and the report with its intervals."""

from __future__ import annotations

from collections.abc import Sequence

from whichresin.records.report import Report, Share
from whichresin.records.rows import Kept
from whichresin.terminal.lines import Line, percent, wrap

_FEW = 20  # below this many known outcomes an interval is too wide to compare anything with; from memory


def list_lines(jobs: Sequence[Kept], width: int) -> list[Line]:
    """A line or two a job, newest first."""
    if not jobs:
        return wrap("No job has been kept yet. Make a sheet with 'whichresin sheet' and add it.", width)
    lines: list[Line] = []
    for one in jobs:
        said = one.outcome
        ended = f"identification {said.identification}, repair {said.repair}" if said else "outcome open"
        ended = ended.replace("_", " ")
        what = f"{one.job.decision}{', ' + one.job.process.replace('_', ' ') if one.job.process != 'none' else ''}"
        lines += wrap(f"{one.id}. {one.at[:10]} {one.job.part or 'part not named'}: {what}; {ended}", width, rest="   ")
    return lines


def job_lines(one: Kept, width: int) -> list[Line]:
    """Everything that is kept of a job, short of the sheet itself."""
    job = one.job
    lines = wrap(f"Job {one.id}: {job.part or 'part not named'}", width, "strong")
    for name, value in (
        ("kept", one.at),
        ("owner", job.owner),
        ("by", job.by),
        ("decision", f"{job.decision}, {job.process}".replace("_", " ")),
        ("believed", f"{job.cell} {percent(job.probability)}, most likely {job.polymer}"),
        ("products", "; ".join(f"{p.get('name')} {p.get('lot')}".strip() for p in job.sheet.get("products", []))),
        ("sheet", f"{job.sheet.get('id', '')}, {len(job.sheet.get('steps', []))} steps"),
        ("knowledge", job.knowledge[:12]),
    ):
        if value:
            lines += wrap(f"{name}: {value}", width, rest="  ")
    for photo in one.photos:
        lines += wrap(f"photo, {photo.stage}: {photo.path}", width, rest="  ")
    for note in one.notes:
        lines += wrap(f"{note.at} {note.what}: {note.text}", width, rest="  ")
    for said in one.outcomes:
        days = f" after {said.days} days" if said.days is not None else ""
        more = "; ".join(filter(None, (f"really {said.really}" if said.really else "", said.pattern, said.note)))
        text = f"outcome {said.at[:10]}{days}: identification {said.identification}, repair {said.repair}"
        lines += wrap(f"{text.replace('_', ' ')}{'; ' + more if more else ''}", width, "strong", rest="  ")
    return lines


def report_lines(found: Report, width: int) -> list[Line]:
    """Counts, each with its interval."""
    lines = wrap(f"{found.jobs} jobs are kept.", width, "strong")
    lines += _share(found.identification, width, "The identification")
    lines += _share(found.repair, width, "The repair")
    for title, shares in (("By repair group", found.by_cell), ("By process", found.by_process)):
        known = [share for share in shares if share.known]
        if known:
            lines += [Line(""), *wrap(title, width, "strong")]
            for share in known:
                lines += _share(share, width, share.name.replace("_", " "))
    if found.confused:
        lines += [Line(""), *wrap("Taken for something else", width, "strong")]
        for acted, really, count in found.confused:
            lines += wrap(f"{acted}, really {really}: {count}", width)
    if found.patterns:
        lines += [Line(""), *wrap("How repairs broke", width, "strong")]
        for name, count in found.patterns:
            lines += wrap(f"{name}: {count}", width)
    lines += [Line("")]
    about = (
        "Intervals: Wilson score, 95 %. Only reported outcomes count, and a job that came back is reported "
        "more often than one that held: the true shares may be higher."
    )
    return lines + wrap(about, width, "faint")


def _share(share: Share, width: int, name: str) -> list[Line]:
    if not share.known:
        return wrap(f"{name}: no outcome is known yet ({share.not_known} open).", width)
    low, high = (f"{end * 100:.0f}" for end in (share.low, share.high))
    text = f"{name}: {share.held} of {share.known} held, so between {low} and {high} % ({share.not_known} not known)."
    if share.stated is not None and name == "The identification":
        text += f" It was stated with {percent(share.stated)} on average."
    if share.known < _FEW:
        text += " Too few to compare with anything."
    return wrap(text, width, rest="  ")
