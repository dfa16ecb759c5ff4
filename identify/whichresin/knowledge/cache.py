"""The compiled knowledge, kept between runs as one JSON file in the user's cache folder.

JSON because it can hold data only: nothing in the file can run. The first line carries a format number, the
program's version, a mark of the record shapes and a checksum; a file that does not fit is ignored and written
anew. Whether it is fresh is first asked of paths, sizes and times of change; when those differ, or are so
young that a change might hide behind the clock's step, the hash of the contents decides.
"""

from __future__ import annotations

import contextlib
import os
import time
import zlib
from typing import TYPE_CHECKING, Any, NamedTuple

from whichresin import __version__

from .paths import cache_folder
from .stamps import Stamp, UnreadableFolder, as_text, listing, newest

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from .layers import SourceFile

FORMAT = 1
# Coarsest step of common file systems' clocks: a file changed less than this before the cache was written
# could change again without showing.
DOUBT_NS = 2_000_000_000
MAX_BYTES = 64 << 20
_ROOMS = ("knowledge", "engine", "vocabulary", "physics")
_PACKAGE = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))


class Kept(NamedTuple):
    """What a cache file held. `sure` is False when only the contents can tell whether it is fresh."""

    sure: bool
    key: str
    code: str
    problems: list[list[Any]]
    model: list[Any]


def file_for(roots: Sequence[str], kind: str = "model") -> str:
    """The cache file of these layers (shared, knowledge, packs in order)."""
    mark = zlib.crc32("\n".join(os.path.abspath(root) for root in roots).encode("utf-8", "surrogateescape"))
    return os.path.join(cache_folder(), f"{kind}-{mark:08x}.json")


def code_stamps() -> list[Stamp]:
    """The program's own files that decide how knowledge compiles: a change of theirs makes every cache
    stale.
    """
    found: list[Stamp] = []
    for room in _ROOMS:
        try:
            found += listing(os.path.join(_PACKAGE, room), (".py",), 0)
        except UnreadableFolder:  # run from an archive: the version alone tells
            continue
    return found


def read(path: str, stamps: list[Stamp], shape: str) -> Kept | None:
    """What the cache holds for these stamps, or None when there is none that fits."""
    lines = _lines_of(path, f"{FORMAT} {__version__} {shape}")
    if lines is None:
        return None
    from json import loads

    try:
        stamp_text, written_ns, key, code, problems, model = loads(lines)
        same = stamp_text == as_text(stamps) and newest(stamps) < written_ns - DOUBT_NS
        return Kept(same, str(key), str(code), list(problems), list(model))
    except (ValueError, TypeError, RecursionError):
        return None


def write(
    path: str,
    stamps: list[Stamp],
    shape: str,
    started_ns: int,
    key: str,
    code: str,
    problems: Any,
    model: Any,
) -> bool:
    """Keep a compiled model; False when the folder cannot be written (which is no error: it is only
    slower).
    """
    from json import dumps

    body = dumps([as_text(stamps), started_ns, key, code, problems, model], separators=(",", ":"))
    return write_lines(path, f"{FORMAT} {__version__} {shape}", body)


def write_lines(path: str, head: str, body: str) -> bool:
    """Write a head line with checksum and a body, atomically; False when it cannot be done."""
    data = body.encode("ascii", "backslashreplace")
    text = f"whichresin {head} {zlib.crc32(data):08x}\n".encode() + data
    beside = f"{path}.{os.getpid()}.{time.monotonic_ns()}"
    try:
        os.makedirs(os.path.dirname(path), mode=0o700, exist_ok=True)
        with open(beside, "xb") as stream:
            stream.write(text)
        os.replace(beside, path)
    except OSError:
        with contextlib.suppress(OSError):
            os.unlink(beside)
        return False
    return True


def _lines_of(path: str, head: str) -> bytes | None:
    """The body of a cache file whose head line fits and whose checksum holds."""
    try:
        with open(path, "rb") as stream:
            stat = os.fstat(stream.fileno())
            if stat.st_size > MAX_BYTES or (hasattr(os, "getuid") and stat.st_uid != os.getuid()):
                return None  # another user's file is not ours to trust
            first, _, body = stream.read().partition(b"\n")
    except (OSError, ValueError):
        return None
    return body if first == f"whichresin {head} {zlib.crc32(body):08x}".encode() else None


def contents_of(stamps: Sequence[Stamp], max_bytes: int) -> dict[str, bytes]:
    """The bytes of each file that can be read, one byte more than `max_bytes` at most."""
    found = {}
    for path, _, _, _ in stamps:
        try:
            with open(path, "rb") as stream:
                found[path] = stream.read(max_bytes + 1)
        except (OSError, ValueError):
            continue
    return found


def content_key(files: Sequence[SourceFile], contents: Mapping[str, bytes]) -> str:
    """`version-hash` of what the files say and how they are layered; the same wherever the folders lie."""
    from hashlib import sha256

    digest = sha256()
    for file in files:
        data = contents.get(file.path, b"")
        digest.update(f"{file.layer}\0{file.inside}\0{len(data)}\0".encode("utf-8", "surrogateescape"))
        digest.update(data)
    return f"{__version__}-{digest.hexdigest()[:20]}"


def code_key(stamps: Sequence[Stamp]) -> str:
    """Hash of the program's own files."""
    from hashlib import sha256

    digest = sha256()
    for path, data in contents_of(stamps, 1 << 22).items():
        digest.update(f"{path}\0{len(data)}\0".encode("utf-8", "surrogateescape"))
        digest.update(data)
    return digest.hexdigest()[:20]
