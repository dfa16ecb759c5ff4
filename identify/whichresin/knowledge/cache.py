"""The compiled knowledge, kept between runs as one JSON file in the user's cache folder.

JSON because it can hold data only: nothing in the file can run. The first line carries a format number, the
program's version, a mark of the record shapes and a checksum; a file that does not fit is ignored and written
anew. Whether it is fresh is first asked of paths, sizes and times of change; when those differ, or are so
young that a change might hide behind the clock's step, the hash of the contents decides.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from whichresin import __version__

from . import store
from .paths import current_folder
from .stamps import Stamp, as_text, newest

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from .layers import SourceFile

FORMAT = 1
ROOMS = ("knowledge", "engine", "vocabulary", "physics")


class Kept(NamedTuple):
    """What a cache file held. `sure` is False when only the contents can tell whether it is fresh."""

    sure: bool
    key: str
    code: str
    problems: list[list[Any]]
    seen_from: str  # the folder that paths in the problems are relative to
    model: list[Any]


def read(path: str, stamps: list[Stamp], shape: str) -> Kept | None:
    """What the cache holds for these stamps, or None when there is none that fits."""
    body = store.read(path, f"model {FORMAT} {shape}")
    if body is None:
        return None
    from json import loads

    try:
        stamp_text, written_ns, key, code, problems, seen_from, model = loads(body)
        same = stamp_text == as_text(stamps) and newest(stamps) < written_ns - store.DOUBT_NS
        return Kept(same, str(key), str(code), list(problems), str(seen_from), list(model))
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
    """Keep a compiled model; False when the folder cannot be written (which is no error: it is only slower)."""
    from json import dumps

    body = dumps([as_text(stamps), started_ns, key, code, problems, current_folder(), model], separators=(",", ":"))
    return store.write(path, f"model {FORMAT} {shape}", body.encode())


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
