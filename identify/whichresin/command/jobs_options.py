"""The options of `whichresin jobs` and its parts."""

from __future__ import annotations

from .options import Options


def parser() -> Options:
    """The options of the command and its parts."""
    from whichresin.records.rows import IDENTIFICATION, REPAIR, STAGES

    whole = Options(
        prog="whichresin jobs",
        description="Jobs that were done: what was believed, planned, used, and what became of it.",
    )
    parts = whole.add_subparsers(dest="part", metavar="PART", required=True)

    def part(name: str, text: str) -> Options:
        made = parts.add_parser(name, help=text, description=text)
        made.add_argument("--json", action="store_true", help="print one JSON document")
        return made

    part("list", "all jobs, newest first")
    part("show", "one job with all that was added to it").add_argument("job", metavar="NUMBER")
    add = part("add", "keep a job sheet, with the clock times of its run; says the number of the job")
    add.add_argument("sheet", metavar="SHEET", help="a job sheet made with 'whichresin sheet --out NAME.json'")
    add.add_argument("--by", metavar="NAME", default="", help="who does the work")
    note = part("note", "add a note to a job")
    note.add_argument("job", metavar="NUMBER")
    note.add_argument("text", metavar="TEXT")
    photo = part("photo", "add a photograph by its path")
    photo.add_argument("job", metavar="NUMBER")
    photo.add_argument("file", metavar="FILE")
    photo.add_argument("--stage", choices=STAGES, required=True, help="what it shows")
    ended = part("outcome", "say what became of a job")
    ended.add_argument("job", metavar="NUMBER")
    ended.add_argument("--identification", choices=IDENTIFICATION, required=True, help="was the plastic what was said")
    ended.add_argument("--repair", choices=REPAIR, required=True, help="did the repair hold")
    ended.add_argument("--really", metavar="MATERIAL", default="", help="what it was, where that became known")
    ended.add_argument("--pattern", metavar="PATTERN", default="", help="how it broke: see 'whichresin failure'")
    ended.add_argument("--days", metavar="N", help="days in service")
    ended.add_argument("--note", metavar="TEXT", default="")
    ended.add_argument("--by", metavar="NAME", default="", help="who says so")
    out = part("export", "all jobs as a table (--csv) or as JSON (--json)")
    out.add_argument("--csv", action="store_true", help="one line a job, for spreadsheets")
    out.add_argument("--out", metavar="FILE", help="write to a file that does not exist yet")
    part("report", "how often identification and repair held, with intervals")
    return whole
