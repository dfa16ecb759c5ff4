"""Learned expectations as a change of the cue files: a difference to read, or a pack to lay over the shipped rules."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import unified_diff
from pathlib import Path
from textwrap import wrap

from whichresin.knowledge.layers import layers_of
from whichresin.knowledge.model import Model
from whichresin.knowledge.paths import places_of
from whichresin.knowledge.positions import Mapping, Node, Scalar, read
from whichresin.knowledge.positions import Sequence as Listed

from .learn import Learned, in_words

SOURCE = "COUNTED"
_WIDTH = 112
_KEPT = "\0"  # a blank that no line is broken at


@dataclass(frozen=True, slots=True)
class Change:
    """One cue file: its place under a root, its text and the proposed text."""

    inside: str
    before: str
    after: str

    def diff(self) -> str:
        """The change as a unified difference."""
        lines = unified_diff(
            self.before.splitlines(True), self.after.splitlines(True), f"now/{self.inside}", f"proposed/{self.inside}"
        )
        return "".join(lines)


def changes(model: Model, learned: Iterable[Learned], packs: Sequence[str] = ()) -> list[Change]:
    """One change a cue file, for the rows whose figures do not fit. Comments and the order of the file stay."""
    scale = _how_often()
    found = []
    rows: dict[str, list[Learned]] = {}
    for one in learned:
        if one.proposed:
            rows.setdefault(one.cue, []).append(one)
    for cue, wanted in sorted(rows.items()):
        path, inside, root = _file_of(cue, packs)
        before = Path(path).read_bytes().decode("utf-8")
        lines = before.splitlines(True)
        expect = root.get("expect")
        assert isinstance(expect, Listed)
        for one in sorted(wanted, key=lambda w: -_row_place(expect, w.compound)):
            seen = in_words(model.cues[cue], one.chances, scale)
            _put(lines, expect, one, seen)
        found.append(Change(inside, before, "".join(lines)))
    return found


def sources_text(name: str, learned: Iterable[Learned]) -> str:
    """A sources.yaml that says where the proposed figures come from."""
    looks = sum(one.looks for one in learned if one.proposed)
    return (
        "sources:\n"
        f"  {SOURCE}: '{name}: {looks} answers counted on plaques of known material, weighed against the shipped"
        " figures'\n"
    )


def _put(lines: list[str], expect: Listed, one: Learned, seen: dict[str, str]) -> None:
    place = _row_place(expect, one.compound)
    indent = " " * (expect.items[0].column - 3)
    text = _row_text(one, seen, indent)
    if place < 0:
        last = _last_line(expect.items[-1])
        if not lines[last - 1].endswith("\n"):
            lines[last - 1] += "\n"
        lines[last:last] = [text]
    else:
        row = expect.items[place]
        lines[row.line - 1 : _last_line(row)] = [text]


def _row_text(one: Learned, seen: dict[str, str], indent: str) -> str:
    written = ", ".join(f"{value}:{_KEPT}{word}" for value, word in seen.items())
    wrapped = wrap(f"seen:{_KEPT}{{{written}}}", _WIDTH - len(indent), subsequent_indent="  ", break_on_hyphens=False)
    body = "".join(f"{indent}  {line}\n" for line in wrapped).replace(_KEPT, " ")
    return f"{indent}- for: {{compound: {one.compound}}}\n{body}{indent}  source: {SOURCE}\n"


def _row_place(expect: Listed, compound: str) -> int:
    """The row that is for this compound alone, or -1."""
    for place, row in enumerate(expect.items):
        chosen = row.get("for") if isinstance(row, Mapping) else None
        if isinstance(chosen, Mapping) and len(chosen.pairs) == 1:
            key, value = chosen.pairs[0]
            if key.text == "compound" and isinstance(value, Scalar) and value.text == compound:
                return place
    return -1


def _last_line(node: Node) -> int:
    """The last line that the node reaches, as far as its scalars tell; a row ends with its source."""
    if isinstance(node, Scalar):
        return node.line
    parts: list[Node] = list(node.items) if isinstance(node, Listed) else [value for _, value in node.pairs]
    return max((_last_line(part) for part in parts), default=node.line)


def _file_of(cue: str, packs: Sequence[str]) -> tuple[str, str, Mapping]:
    """The file that holds the cue: of the last layer that has it."""
    places = places_of(None, None)
    for one in reversed(layers_of(places.knowledge, places.shared, packs).files):
        if one.kind == "cue" or one.inside.startswith("cues/"):
            root = read(one.path).root
            name = root.get("id") if isinstance(root, Mapping) else None
            if isinstance(root, Mapping) and isinstance(name, Scalar) and name.text == cue:
                return one.path, one.inside, root
    raise LookupError(f"no file holds the cue {cue}")


def _how_often() -> list[tuple[str, float]]:
    root = read(Path(places_of(None, None).shared, "words.yaml")).root
    scale = root.get("how_often") if isinstance(root, Mapping) else None
    assert isinstance(scale, Mapping)
    return [(key.text, float(value.text)) for key, value in scale.pairs if isinstance(value, Scalar)]
