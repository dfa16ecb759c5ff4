"""What is kept of a drill: one JSON file per apprentice, and the summary of a class made from such files."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from .judge import Judged


class BadRecord(ValueError):
    """A result file that cannot be read; the message is one sentence with the file's name."""


@dataclass(slots=True)
class Sheet:
    """The results of one apprentice: `name` is whatever the class agreed on, a number as well as a name."""

    name: str
    seed: int
    gate: list[dict[str, Any]] = field(default_factory=list)
    cards: list[dict[str, Any]] = field(default_factory=list)
    parts: list[dict[str, Any]] = field(default_factory=list)

    def add_part(self, judged: Judged) -> None:
        """Keep one judged attempt."""
        self.parts.append(judged.as_json())

    def as_json(self) -> dict[str, Any]:
        """The document that is written."""
        kept = {"gate": self.gate, "cards": self.cards, "parts": self.parts}
        return {"schema": 1, "drill": self.name, "seed": self.seed, **kept, "sums": sums(self)}


def write_sheet(path: Path, sheet: Sheet) -> None:
    """Write the file; results of an earlier drill in it are kept in front. Raises OSError, BadRecord."""
    if path.exists():
        before = read_sheet(path)
        for earlier, own in ((before.gate, sheet.gate), (before.cards, sheet.cards), (before.parts, sheet.parts)):
            own[:0] = earlier
    beside = path.with_name(path.name + ".new")
    beside.write_text(json.dumps(sheet.as_json(), indent=2) + "\n", encoding="utf-8")
    beside.replace(path)  # whole or not at all


def read_sheet(path: Path) -> Sheet:
    """Read one apprentice's file. Raises BadRecord, OSError."""
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
        sheet = Sheet(str(held["drill"]), int(held["seed"]), held["gate"], held["cards"], held["parts"])
        sums(sheet)  # every row has what a summary needs
    except (ValueError, KeyError, TypeError, AttributeError):
        raise BadRecord(f"{path} holds no results of a drill; name files that 'whichresin drill --out' wrote") from None
    return sheet


def sums(sheet: Sheet) -> dict[str, Any]:
    """Counts and means of one sheet."""
    parts = sheet.parts
    return {
        "gate_right": sum(bool(row["right"]) for row in sheet.gate),
        "gate_harmful": sum(bool(row["harmful"]) for row in sheet.gate),
        "gate_asked": len(sheet.gate),
        "cards_right": sum(bool(row["right"]) for row in sheet.cards),
        "cards_asked": len(sheet.cards),
        "parts": len(parts),
        "class_right": sum(row["said"]["class"] == row["truth"]["class"] for row in parts),
        "material_right": sum(row["said"]["material"] == row["truth"]["material"] for row in parts),
        "route_right": sum(row["said"]["route"] == row["truth"]["route"] for row in parts),
        "class_points": _mean([row["points"]["class"] for row in parts]),
        "material_points": _mean([row["points"]["material"] for row in parts]),
        "class_sure": _mean([100 * row["said"]["class_sure"] for row in parts]),
        "material_sure": _mean([100 * row["said"]["material_sure"] for row in parts]),
        "minutes": _mean([row["minutes"] for row in parts]),
        "wasted": sum(len(row["wasted"]) for row in parts),
        "needless_hazards": sum(len(row["needless_hazards"]) for row in parts),
    }


def mixed_up(sheets: Iterable[Sheet], what: str = "material") -> Counter[tuple[str, str]]:
    """(truth, said) -> how often, for the wrong claims of a class; `what` is material, class or route."""
    pairs: Counter[tuple[str, str]] = Counter()
    for sheet in sheets:
        for row in sheet.parts:
            truth, said = row["truth"][what], row["said"][what]
            if truth != said:
                pairs[(truth, said)] += 1
    return pairs


def summary_lines(sheets: Sequence[Sheet]) -> list[str]:
    """The class at a glance: a line each, then who mixes up what."""
    said = []
    for sheet in sorted(sheets, key=lambda one: one.name):
        said += _sheet_lines(sheet.name, sums(sheet))
    for what, word in (("route", "repair routes"), ("class", "classes"), ("material", "polymers")):
        found = mixed_up(sheets, what)
        if found:
            said.append(f"Mixed up, {word}:")
            said += [
                f"  {truth} taken for {claim}: {count} x ({_who(sheets, what, truth, claim)})"
                for (truth, claim), count in found.most_common(10)
            ]
    needless = Counter(cue for sheet in sheets for row in sheet.parts for cue in row["needless_hazards"])
    if needless:
        said.append("Hazards taken without need:")
        said += [f"  {cue}: {count} x" for cue, count in needless.most_common(10)]
    return said


def _sheet_lines(name: str, found: Mapping[str, Any]) -> list[str]:
    said = [f"{name}:"]
    if found["gate_asked"]:
        wanted = "" if found["gate_right"] == found["gate_asked"] else "; the gate must be perfect: do it again"
        hurt = f", {found['gate_harmful']} of the wrong ones could hurt somebody" if found["gate_harmful"] else ""
        said.append(f"  gate {found['gate_right']} of {found['gate_asked']} right{hurt}{wanted}")
    if found["cards_asked"]:
        said.append(f"  one-test cards {found['cards_right']} of {found['cards_asked']} right")
    if found["parts"]:
        n = found["parts"]
        said.append(
            f"  {n} parts: class {found['class_right']}, polymer {found['material_right']}, "
            f"route {found['route_right']} right; points {found['class_points']:+.0f} class, "
            f"{found['material_points']:+.0f} polymer a part"
        )
        said.append(
            f"  said {found['class_sure']:.0f} % sure of the class and was right in "
            f"{100 * found['class_right'] / n:.0f} %; polymer {found['material_sure']:.0f} % and "
            f"{100 * found['material_right'] / n:.0f} %"
        )
        said.append(
            f"  {found['minutes']:.0f} minutes a part, {found['wasted']} tests wasted, "
            f"{found['needless_hazards']} hazards taken without need"
        )
    return said


def _who(sheets: Sequence[Sheet], what: str, truth: str, claim: str) -> str:
    names = [
        sheet.name
        for sheet in sheets
        if any(row["truth"][what] == truth and row["said"][what] == claim for row in sheet.parts)
    ]
    return ", ".join(sorted(set(names)))


def _mean(values: Sequence[float]) -> float:
    return round(sum(values) / len(values), 2) if values else 0.0
