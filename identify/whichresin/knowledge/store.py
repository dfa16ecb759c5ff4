"""Files in the user's cache folder: a head line with a checksum, then a body. Light: runs before all else.

What does not fit the head, fails its checksum or belongs to another user is as good as absent; what cannot be
written is left unwritten. Only data is kept, nothing that runs.
"""

from __future__ import annotations

import os
import time
import zlib

from whichresin import __version__

from .paths import PACKAGE, cache_folder
from .stamps import Stamp, UnreadableFolder, listing

TYPE_CHECKING = False  # not from typing: its import takes longer than all that is done here
if TYPE_CHECKING:
    from collections.abc import Sequence

MAX_BYTES = 64 << 20
# Coarsest step of common file systems' clocks: a file changed less than this before something was kept could
# change again without showing.
DOUBT_NS = 2_000_000_000


def file_for(kind: str, roots: Sequence[str]) -> str:
    """The cache file of one kind for these folders (shared, knowledge, packs in order)."""
    named = "\n".join(os.path.abspath(root) for root in roots)
    return os.path.join(cache_folder(), f"{kind}-{zlib.crc32(os.fsencode(named)):08x}")


def code_stamps(rooms: Sequence[str]) -> list[Stamp]:
    """The program's own files in these rooms: when one of them changes, what they made is stale."""
    found: list[Stamp] = []
    for room in rooms:
        try:
            found += listing(os.path.join(PACKAGE, room), (".py",), 0)
        except UnreadableFolder:  # run from an archive: the version alone tells
            continue
    return found


def write(path: str, head: str, body: bytes) -> bool:
    """Write atomically; False when the folder cannot be written."""
    beside = f"{path}.{os.getpid()}.{time.monotonic_ns()}"
    try:
        os.makedirs(os.path.dirname(path), mode=0o700, exist_ok=True)
        with open(beside, "xb") as stream:
            stream.write(_head(head, body) + b"\n" + body)
        os.replace(beside, path)
    except OSError:
        try:  # noqa: SIM105 - contextlib is not otherwise loaded on the way to the first question
            os.unlink(beside)
        except OSError:
            pass
        return False
    return True


def read(path: str, head: str) -> bytes | None:
    """The body, or None when there is none that fits."""
    try:
        with open(path, "rb") as stream:
            stat = os.fstat(stream.fileno())
            if stat.st_size > MAX_BYTES or (hasattr(os, "getuid") and stat.st_uid != os.getuid()):
                return None
            first, _, body = stream.read().partition(b"\n")
    except (OSError, ValueError):
        return None
    return body if first == _head(head, body) else None


def _head(head: str, body: bytes) -> bytes:
    return f"whichresin {__version__} {head} {zlib.crc32(body):08x}".encode()
