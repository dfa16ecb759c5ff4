"""Text that came from a file or a keyboard: find what a terminal would act on, and show it harmlessly."""

from __future__ import annotations

import re

# Everything that a terminal or a reader's eye would take as a command instead of a letter: C0 and C1 controls
# (line feed and tab are allowed), soft hyphen, bidirectional marks and overrides, zero-width signs, line and
# paragraph separators, byte-order marks, interlinear marks, lone surrogates, tag characters.
_CONTROL = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
    "\ud800-\udfff\U000e0000-\U000e007f]"
)


def first_control(text: str) -> int:
    """Index of the first character that may not be shown raw, or -1."""
    hit = _CONTROL.search(text)
    return hit.start() if hit else -1


def escaped(text: str) -> str:
    """The text with every such character, and line feeds and tabs, written as an escape: `\\x1b`."""
    one_line = text.replace("\n", "\\n").replace("\t", "\\t")
    return _CONTROL.sub(lambda hit: _escape(ord(hit.group())), one_line)


def shown(text: str, limit: int = 48) -> str:
    """The text in quotes, escaped and cut to `limit` characters, fit to stand in a sentence; signs that Unicode has
    not given out, and odd spaces, are escaped too."""
    cut = text if len(text) <= limit else text[: limit - 3] + "..."
    return "'" + "".join(c if c.isprintable() else _escape(ord(c)) for c in escaped(cut)) + "'"


def _escape(code: int) -> str:
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
