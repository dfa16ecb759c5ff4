"""Starting files for authors: a commented blank of each kind of file, and the places to fill in."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from string import Template
from typing import NamedTuple

from whichresin.knowledge import forms, repair_forms
from whichresin.knowledge.layers import PACK_FILE
from whichresin.knowledge.positions import Scalar
from whichresin.knowledge.problems import Report
from whichresin.knowledge.schema import Context, Record
from whichresin.knowledge.tree import slug

ASKS = "# ?"
_EMPTY = re.compile(r"(\w+):(?= *(?:[,}]|$))")  # a key without a value
_MANIFEST = """\
# What this pack is; see the author's guide.
pack: {name}
version: 0.1
authors: [trainer]
licence: not yet chosen
"""
_FOLDER = Path(__file__).with_name("blanks")


class BadBlank(ValueError):
    """A blank cannot be written; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Kind:
    """What can be begun: its form, and where in a pack it lies."""

    form: Record
    folder: str


KINDS: Mapping[str, Kind] = {
    "material": Kind(forms.MATERIAL, "materials/polymers"),
    "cue": Kind(forms.CUE, "cues"),
    "rule": Kind(forms.RULE, "rules"),
    "part": Kind(forms.PART, "parts"),
    "process": Kind(repair_forms.PROCESS, "repair/processes"),
    "filler": Kind(forms.FILLER, "materials/fillers"),
    "caution": Kind(forms.CAUTION, "cautions"),
}


class Question(NamedTuple):
    """One place to fill in: its line, counted from 1, the key or keys there, and what is asked."""

    line: int
    key: str
    asks: str


def write_blank(kind: str, name: str, pack: str) -> Path:
    """Write the blank into the folder of the pack; never over a file. Raises BadBlank."""
    about = KINDS[kind]
    problem = _fault(about.form, name)
    if problem:
        raise BadBlank(problem)
    path = Path(pack, about.folder, f"{slug(name)}.yaml")
    text = Template((_FOLDER / f"{kind}.yaml").read_text(encoding="utf-8")).substitute(ID=name)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as stream:
            stream.write(text)
        manifest = Path(pack, PACK_FILE)
        if not manifest.exists():
            manifest.write_text(manifest_text(Path(pack).resolve().name), encoding="utf-8")
    except FileExistsError:
        raise BadBlank(f"{path} is there already; choose another id, or move the file away") from None
    except OSError as error:
        raise BadBlank(f"{path} cannot be written: {error.strerror}; name another folder with --into") from None
    return path


def manifest_text(folder: str) -> str:
    """A pack.yaml for a new pack in this folder."""
    name = re.sub("[^a-z0-9]+", "-", folder.lower()).strip("-")
    return _MANIFEST.format(name=name if name[:1].isalpha() else "my-shop")


def questions(text: str) -> tuple[Question, ...]:
    """The places that still wait for an answer, in order."""
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        before, mark, asks = line.partition(ASKS)
        if mark and not line.startswith("#"):
            empty = _EMPTY.findall(before.rstrip()) or [before.strip().removeprefix("- {").partition(":")[0]]
            found.append(Question(number, ", ".join(empty), asks.strip()))
    return tuple(found)


def _fault(form: Record, name: str) -> str:
    """What is wrong with an id, or an empty text."""
    ctx = Context(Report())
    form.fields["id"].piece.read(Scalar(name, "", 1, 1), ctx, "the id")
    problems = ctx.report.sorted()
    return problems[0].sentence if problems else ""
