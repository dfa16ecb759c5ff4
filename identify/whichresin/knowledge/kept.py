"""Short texts kept between runs for one exact state of knowledge and program, such as the first question.

    text = recall("opening")            # None unless nothing has changed since
    keep("opening", text)

Imports neither the model nor YAML, so that a first question can stand on the screen before either is loaded.
"""

from __future__ import annotations

import os
import time

from . import store
from .paths import PACKAGE, places_of
from .stamps import Stamp, UnreadableFolder, as_text, listing, lone, newest

TYPE_CHECKING = False  # not from typing: its import takes longer than all that is done here
if TYPE_CHECKING:
    from collections.abc import Sequence

_FORMAT = "text 1"


def recall(
    name: str, packs: Sequence[str] = (), *, knowledge: str | None = None, shared: str | None = None
) -> str | None:
    """The text kept under `name` for these folders, if no file of theirs or of the program has changed."""
    try:
        roots, stamps = _state(packs, knowledge, shared)
    except UnreadableFolder:
        return None
    body = store.read(store.file_for(name, roots), _FORMAT)
    if body is None:
        return None
    kept_ns, _, rest = body.partition(b"\0")
    state, _, text = rest.partition(b"\0")
    if state != os.fsencode(as_text(stamps)) or newest(stamps) >= int(kept_ns) - store.DOUBT_NS:
        return None
    return text.decode("utf-8", "replace")


def keep(
    name: str, text: str, packs: Sequence[str] = (), *, knowledge: str | None = None, shared: str | None = None
) -> bool:
    """Keep a text for the present state; False when it cannot be kept (which is no error)."""
    now = time.time_ns()
    try:
        roots, stamps = _state(packs, knowledge, shared)
    except UnreadableFolder:
        return False
    parts = (str(now).encode(), os.fsencode(as_text(stamps)), text.encode("utf-8", "replace"))
    return store.write(store.file_for(name, roots), _FORMAT, b"\0".join(parts))


def _state(packs: Sequence[str], knowledge: str | None, shared: str | None) -> tuple[tuple[str, ...], list[Stamp]]:
    """The folders, and the stamps of all files in them and of the whole program."""
    places = places_of(knowledge, shared)
    stamps = listing(places.shared) + listing(places.knowledge)
    for pack in packs:
        stamps += listing(pack) if os.path.isdir(pack) else [lone(pack)]
    return (places.shared, places.knowledge, *packs), stamps + listing(PACKAGE, (".py",), 1)
