"""From what a person typed to what the search reads: brackets off, capitals, one sign for unreadable."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from whichresin.vocabulary.text import first_control

from .damage import SEEN

_OPEN, _CLOSE = ">»›)]}", "<«‹([{"
_DASHES = dict.fromkeys(map(ord, "‐‑‒–—−﹣－"), "-")
_KNOWN = set(SEEN)
_ESCAPE = re.compile("\x1b\\[[0-9;?]*[A-Za-z]")  # what a terminal would act on


@dataclass(frozen=True, slots=True)
class Tidied:
    """`body` is made of the characters of SEEN. `brackets` is both, one, round or none."""

    body: str
    turned_body: str  # the same before capitals, for plates seen from the wrong side
    brackets: str
    opened: bool
    closed: bool

    @property
    def readable(self) -> int:
        """How many letters and digits can be read."""
        return sum(character.isalnum() for character in self.body)


def tidy(text: str) -> Tidied:
    """Take a text apart. Never fails; characters that nobody could print count as unreadable."""
    text = unicodedata.normalize("NFKC", _ESCAPE.sub("", text)).translate(_DASHES)
    while (at := first_control(text)) >= 0:
        text = text[:at] + ("" if ord(text[at]) > 0x9F else "?") + text[at + 1 :]
    text = " ".join(text.split())
    inside = re.search(r">([^<>]{1,60})<", text)
    if inside and len(inside[0]) < len(text):
        text = inside[0]  # a part number or date stands beside the marking
    opened = bool(text) and text[0] in "><[»›«‹"
    closed = len(text) > 1 and text[-1] in "<>]«‹»›"
    body = text.strip("><[]»›«‹ ")
    brackets = "both" if opened and closed else "one" if opened or closed else "none"
    if brackets == "none" and len(body) > 2 and body[0] == "(" and body[-1] == ")" and _pair(body):
        body, brackets, opened, closed = body[1:-1], "round", True, True
    raw = "".join(c if c in "_," or (c.isascii() and (c.isalnum() or c.upper() in _KNOWN)) else "?" for c in body)
    return Tidied(raw.upper().replace("_", "?"), raw, brackets, opened, closed)


def _pair(text: str) -> bool:
    depth = 0
    for place, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if depth == 0:
            return place == len(text) - 1
    return False
