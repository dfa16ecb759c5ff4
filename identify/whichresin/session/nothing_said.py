"""Free words that tell nothing, such as "none" or "can't read it": taken as a marking, `no` would speak for rubber."""

from __future__ import annotations

_NONE = (
    "no none not nothing nope nil n na d dk idk cant cannot dont dunno unknown unreadable illegible gone worn blank "
    "missing unmarked faded"
)
_OF_IT = (
    "a all any anything at be can clear do entirely fully have here i idea is it its know left legible made mark "
    "marked marking markings of off on out part read readable really say see seen sorry sure that the there this to "
    "totally visible what quite away completely"
)
_NOTHING, _BESIDE = frozenset(_NONE.split()), frozenset(_OF_IT.split())
_YES = frozenset(("yes", "y", "yes there is", "there is", "yeah", "yep"))


def says_nothing(text: str) -> bool:
    """Whether these words only say that there is nothing, or that it is not known; signs alone say nothing either."""
    words = _words(text)
    return not words or (any(word in _NOTHING for word in words) and all(word in _NOTHING | _BESIDE for word in words))


def only_yes(text: str) -> bool:
    """Whether somebody said that there is one, and not what it says."""
    return " ".join(_words(text)) in _YES


def _words(text: str) -> list[str]:
    bare = text.lower().replace("'", "").replace("\N{RIGHT SINGLE QUOTATION MARK}", "")
    return "".join(letter if letter.isalnum() else " " for letter in bare).split()
