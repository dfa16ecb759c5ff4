"""A report of simulated interviews in lines for a person."""

from __future__ import annotations

from typing import Any

from .picture import text_picture
from .tally import ENOUGH, FEWEST, Report


def report_lines(found: Report) -> list[str]:
    """The report, most asked-for figures first."""
    said = found.as_json()
    n, right = said["interviews"], said["accuracy"]
    lines = [
        f"{n} interviews",
        "right: " + ", ".join(f"{name} {_percent(p)}" for name, p in right.items()),
        f"treated as another repair cell: {_percent(said['wrong_actions'])}; put off: {_percent(said['deferred'])}; "
        f"alarm: {_percent(said['alarms'])}",
        f"a part: {said['questions_mean']:.1f} questions ({said['unsure_mean']:.1f} not known), "
        f"{said['question_minutes_mean']:.1f} minutes of asking with hazard {said['hazard_minutes_mean']:.1f}, "
        f"{said['loss_mean']:.1f} lost by wrong calls, {said['cost_mean']:.1f} +-{said['cost_error']:.1f} in all",
        f"Brier: class {said['brier']['class']:.3f}, polymer {said['brier']['polymer']:.3f}; log score: class "
        f"{said['log_score']['class']:.3f}, polymer {said['log_score']['polymer']:.3f} nats",
    ]
    for name, one in (("class", found.klass), ("polymer", found.polymer), ("cell", found.cell)):
        lines.append(
            f"ECE {name}: {one.ece:.4f}, error {one.ece_error:.4f}; {one.ece_if_exact:.4f} would show if all were "
            f"exact; too sure by {one.gap:+.4f}"
        )
    if n < ENOUGH:
        lines.append(f"Fewer than {ENOUGH} interviews cannot show an ECE of 0.02: take these as a first look.")
    for name, one in (("class", found.klass), ("polymer", found.polymer)):
        lines += ["", *text_picture(name, one)]
    lines += ["", *_grouped("stopped because", said["stops"]), "", *_grouped("ended as", said["statuses"])]
    lines += ["", *_grouped(f"polymer (at least {FEWEST})", said["polymers"])]
    strangers = said["outside"]
    if strangers["interviews"]:
        lines += [
            "",
            f"{strangers['interviews']} parts were not in the knowledge. Ended confidently wrong "
            f"{_percent(strangers['confidently_wrong'])}, held back {_percent(strangers['held_back'])}, right cell "
            f"anyway {_percent(strangers['right'])}, not sure and wrong {_percent(strangers['not_sure_and_wrong'])}",
            f"of the parts in the knowledge: confidently wrong {_percent(strangers['known']['confidently_wrong'])}, "
            f"held back {_percent(strangers['known']['held_back'])}",
        ]
    return lines


def _grouped(title: str, rows: dict[str, dict[str, Any]]) -> list[str]:
    lines = [
        f"{title:24} {'number':>7} {'class':>7} {'cell':>7} {'polymer':>8} {'wrong':>7} {'asked':>6} {'minutes':>8}"
    ]
    for name, row in rows.items():
        lines.append(
            f"{name:24} {row['interviews']:7d} {_percent(row['class_right']):>7} {_percent(row['cell_right']):>7} "
            f"{_percent(row['polymer_right']):>8} {_percent(row['wrong_actions']):>7} {row['questions_mean']:6.1f} "
            f"{row['cost_mean']:8.1f}"
        )
    return lines


def _percent(share: float) -> str:
    return f"{share * 100:.1f} %"
