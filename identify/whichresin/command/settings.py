"""The settings file of a shop: defaults that need not be typed every time.

    shop_name: Training workshop North
    shop: [welder, two part adhesive]
    mode: plain
    tutor: yes
    temperature: fahrenheit
    knowledge: [~/my-shop]

What stands on the command line comes first, then this file, then what is usual.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from whichresin.knowledge.positions import Mapping as YamlMapping
from whichresin.knowledge.positions import Node, Scalar, Sequence, read
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import nearest

from .output import BadInput

MODES = ("rich", "plain")
TEMPERATURES = ("celsius", "fahrenheit")
_YES, _NO = ("yes", "true", "on"), ("no", "false", "off")
_LONGEST = 200


@dataclass(frozen=True, slots=True)
class Config:
    """The settings that hold. `places` says for each setting of the file where it stands, as file:line."""

    path: Path
    shop_name: str = ""
    shop: tuple[str, ...] = ()
    mode: str = "rich"
    tutor: bool | None = None  # None: until the first interview is finished
    temperature: str = "celsius"
    knowledge: tuple[str, ...] = ()  # folders, laid over the shipped knowledge in this order
    places: Mapping[str, str] = field(default_factory=dict)


def config_path() -> Path | None:
    """Where the settings file is looked for: $WHICHRESIN_CONFIG (empty: nowhere), else the user's settings folder."""
    chosen = os.environ.get("WHICHRESIN_CONFIG")
    if chosen is not None:
        return Path(chosen).expanduser() if chosen else None
    try:
        home = Path("~").expanduser()
    except RuntimeError:  # nobody's home is known
        return None
    if sys.platform == "win32":
        base = Path(os.environ.get("APPDATA") or home / "AppData" / "Roaming")
    elif sys.platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_CONFIG_HOME", ""))
        if not base.is_absolute():  # the XDG rule: a relative path is to be ignored
            base = home / ".config"
    return base / "whichresin" / "config.yaml"


def load_config() -> Config:
    """The settings of the file, or the usual ones where there is none. Raises BadInput naming file, line, column."""
    path = config_path()
    if path is None:
        return Config(Path(os.devnull))
    if "WHICHRESIN_CONFIG" not in os.environ and not path.exists():
        return Config(path)
    reading = read(path)
    errors = [problem for problem in reading.problems if problem.level == "error"]
    if errors and errors[0].code == "empty-file":
        return Config(path)
    if errors or reading.root is None:
        first = errors[0]
        raise BadInput(f"{first.file}:{first.line}:{first.column}: {first.sentence}" if first.line else
                       f"{first.file}: {first.sentence}")  # fmt: skip
    if not isinstance(reading.root, YamlMapping):
        raise _bad(reading.root, "settings are names and values, such as 'mode: plain'")
    config = Config(path)
    places: dict[str, str] = {}
    for key, node in reading.root.pairs:
        if key.text not in _READERS:
            near = nearest(key.text, _READERS)
            hint = f"did you mean {shown(near)}?" if near else f"known are {', '.join(_READERS)}"
            raise _bad(key, f"{shown(key.text)} is not a setting; {hint}")
        config = _READERS[key.text](config, node)
        places[key.text] = f"{path}:{key.line}"
    return replace(config, places=places)


def celsius(text: str, config: Config) -> str:
    """A temperature as typed, in degrees Celsius: `73F` and `23C` say their unit, a bare figure is in the shop's."""
    figure, unit = text.strip(), config.temperature[:1]
    if figure[-1:].lower() in ("c", "f"):
        figure, unit = figure[:-1].strip(), figure[-1].lower()
    if unit != "f":
        return figure
    try:
        return f"{(float(figure.replace(',', '.')) - 32) / 1.8:.4g}"
    except ValueError:
        return figure


def _shop_name(config: Config, node: Node) -> Config:
    return replace(config, shop_name=_text(node))


def _shop(config: Config, node: Node) -> Config:
    return replace(config, shop=tuple(_text(item) for item in _items(node)))


def _mode(config: Config, node: Node) -> Config:
    return replace(config, mode=_word(node, MODES))


def _tutor(config: Config, node: Node) -> Config:
    return replace(config, tutor=_word(node, (*_YES, *_NO)) in _YES)


def _temperature(config: Config, node: Node) -> Config:
    return replace(config, temperature=_word(node, TEMPERATURES))


def _knowledge(config: Config, node: Node) -> Config:
    """Folders; a path that is not absolute starts from the folder of the settings file."""
    found = []
    for item in _items(node):
        folder = config.path.parent / Path(_text(item)).expanduser()
        if not folder.is_dir():
            raise _bad(item, f"there is no folder {shown(str(folder))} to lay over the shipped knowledge")
        found.append(str(folder))
    return replace(config, knowledge=tuple(found))


_READERS: dict[str, Callable[[Config, Node], Config]] = {
    "shop_name": _shop_name,
    "shop": _shop,
    "mode": _mode,
    "tutor": _tutor,
    "temperature": _temperature,
    "knowledge": _knowledge,
}


def _items(node: Node) -> tuple[Node, ...]:
    return node.items if isinstance(node, Sequence) else (node,)


def _word(node: Node, words: tuple[str, ...]) -> str:
    text = _text(node).lower()
    if text not in words:
        near = nearest(text, words)
        hint = f"did you mean {shown(near)}?" if near else f"use one of {', '.join(words)}"
        raise _bad(node, f"{shown(text)} is not a value of this setting; {hint}")
    return text


def _text(node: Node) -> str:
    if not isinstance(node, Scalar):
        raise _bad(node, "one word or text was expected here, not a list or mapping")
    text = " ".join(node.text.split())
    if len(text) > _LONGEST:
        raise _bad(node, f"this is longer than {_LONGEST} characters")
    return text


def _bad(node: Node, sentence: str) -> BadInput:
    return BadInput(f"{node.file}:{node.line}:{node.column}: {sentence}")
