"""Which YAML files lie under a folder, with size and time of change. Runs before the first question."""

from __future__ import annotations

import os

MAX_FILES = 5000
MAX_FOLDER_DEPTH = 6
MAX_FILE_BYTES = 1 << 20  # a larger file is not read at all
MAX_FOLDER_BYTES = 16 << 20

Stamp = tuple[str, str, int, int]  # path, path inside the root (with /), size in bytes, mtime in ns


class UnreadableFolder(Exception):
    """A folder that was asked for and cannot be listed; `path` and a reason to show."""

    def __init__(self, path: str, reason: str) -> None:
        super().__init__(reason)
        self.path = path
        self.reason = reason


def listing(root: str, endings: tuple[str, ...] = (".yaml", ".yml"), depth: int = MAX_FOLDER_DEPTH) -> list[Stamp]:
    """Files under `root`, sorted by the path inside it. Links, hidden names and `drafts` are passed over.

    A link could lead out of the folder; drafts are rules in the making. Raises UnreadableFolder.
    """
    found: list[Stamp] = []
    pending = [(root, "", 0)]
    while pending:
        folder, inside, level = pending.pop()
        try:
            with os.scandir(folder) as entries:
                for entry in entries:
                    name = entry.name
                    if name.startswith(".") or entry.is_symlink():
                        continue
                    if name.endswith(endings):
                        if entry.is_file():
                            stat = entry.stat()
                            found.append((entry.path, inside + name, stat.st_size, stat.st_mtime_ns))
                    elif level < depth and name != "drafts" and entry.is_dir():
                        pending.append((entry.path, f"{inside}{name}/", level + 1))
        except OSError as error:
            raise UnreadableFolder(folder, error.strerror or "it cannot be listed") from None
        if len(found) > MAX_FILES:
            raise UnreadableFolder(root, f"it holds more than {MAX_FILES} files")
    if sum(min(size, MAX_FILE_BYTES) for _, _, size, _ in found) > MAX_FOLDER_BYTES:
        raise UnreadableFolder(root, f"its files hold more than {MAX_FOLDER_BYTES >> 20} MiB")
    found.sort(key=lambda stamp: stamp[1])
    return found


def lone(path: str) -> Stamp:
    """The stamp of a file that was named by itself; size -1 when it cannot be looked at."""
    try:
        stat = os.stat(path)
    except (OSError, ValueError):
        return (path, os.path.basename(path), -1, -1)
    return (path, os.path.basename(path), stat.st_size, stat.st_mtime_ns)


def as_text(stamps: list[Stamp]) -> str:
    """All stamps as one text, equal when nothing was touched."""
    return "\n".join(f"{path}\t{size}\t{mtime}" for path, _, size, mtime in stamps)


def newest(stamps: list[Stamp]) -> int:
    """The latest time of change, ns; 0 when there is no file."""
    return max((mtime for _, _, _, mtime in stamps), default=0)
