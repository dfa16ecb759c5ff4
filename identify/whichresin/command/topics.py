"""What `whichresin help` can explain: topics, cues, commands and findings of the check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from importlib.resources import files

import yaml

from whichresin.knowledge.model import Cue, Model

from .main import COMMANDS


@dataclass(frozen=True, slots=True)
class Page:
    """One page of help: paragraphs are wrapped, indented lines are left as they stand."""

    name: str
    title: str
    text: str


def topics() -> dict[str, Page]:
    """The written topics, in the order of their file."""
    read = yaml.safe_load(files("whichresin.command").joinpath("topics.yaml").read_text(encoding="utf-8"))
    return {name: Page(name, row["title"], row["text"]) for name, row in read.items()}


def names(model: Model) -> Iterator[str]:
    """Every word that help understands, findings of the check included."""
    from whichresin.training.pages import manual

    yield from dict.fromkeys(["topics", "cues", *topics(), *COMMANDS, *model.cues, *manual().pages])


def page(model: Model, name: str) -> Page | None:
    """The page for a word; None when there is none, or when it is a finding of the check."""
    written = topics()
    if name in written:
        return written[name]
    if name == "topics":
        rows = [f"    {one.name:<14}{one.title}" for one in written.values()]
        more = "Also: any command, any cue (whichresin help cues), any finding of the check (whichresin help --codes)."
        return Page(name, "What help knows", "\n".join([*rows, "", more]))
    if name == "cues":
        width = max(map(len, model.cues)) + 2
        rows = [f"    {cue.id:<{width}}{cue.question}" for cue in model.cues.values()]
        return Page(name, "What can be asked or measured", "\n".join(rows))
    if name in COMMANDS:
        return Page(name, COMMANDS[name][1], "\n    ".join(["", *_help_of(name).splitlines()]))
    return _cue_page(model, model.cues[name]) if name in model.cues else None


def _help_of(command: str) -> str:
    text: str = import_module(COMMANDS[command][0]).parser().format_help()
    return text


def _cue_page(model: Model, cue: Cue) -> Page:
    cost = [f"{cue.minutes:g} min", "marks the part" if cue.marks_part else "leaves no mark"]
    cost += [f"needs {', '.join(cue.tools)}"] if cue.tools else []
    cost += [f"hazard {cue.hazard}"] if cue.hazard != "none" else []
    cost += [f"off until {cue.opt_in} tests are allowed"] if cue.opt_in else []
    cautions = [model.cautions[id] for id in cue.cautions]
    lines = ["; ".join(cost) + ".", ""]
    lines += [f"{caution.level.upper()}: {caution.text}\n" for caution in cautions]
    lines += [f"How: {cue.how}", ""] if cue.how else []
    lines += [f"Wear: {cue.wear}", ""] if cue.wear else []
    lines += [f"Fooled by: {cue.fooled_by}", ""] if cue.fooled_by else []
    lines += [f"Why it works: {cue.lesson}", ""] if cue.lesson else []
    if cue.values:
        width = max(len(value.id) for value in cue.values) + 2
        lines += ["Answers:", *(f"    {value.id:<{width}}{value.text}" for value in cue.values), ""]
    sources = [f"{id} ({model.sources[id]})" if id in model.sources else id for id in cue.source]
    lines.append(f"Source: {'; '.join(sources)}")
    return Page(cue.id, cue.question, "\n".join(lines))
