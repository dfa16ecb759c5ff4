"""`decode --batch`: one marking a line in, one JSON object a line out, in order and in constant memory."""

from __future__ import annotations

import gc
import json
import sys
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any, BinaryIO

from whichresin.marking.decoder import decode

from . import output
from .decode import load_tables

LONGEST_LINE = 4096  # bytes; a longer line is reported and passed over
CHUNK = 64  # lines handed to one process at a time
BAR = 30

_tables: Any = None


def run_batch(path: str, jobs: int, start: int, top: int, folder: str | None) -> int:
    """Decode a file from line `start` on. To resume, give the number of lines already written plus one as --from."""
    lines, size = _open(path)
    unread = bad = 0
    done = start - 1
    progress = _Progress(size)
    try:
        for number, width, row, error in _results(_numbered(lines, start), jobs, top, folder):
            if error:
                bad += 1
                progress.clear()
                output.say_error(f"line {number}: {error}")
                row = json.dumps({"line": number, "error": error})
            sys.stdout.write(row + "\n")
            unread += '"verdict": "unreadable"' in row
            done = number
            progress.show(number, width)
        sys.stdout.flush()
    except KeyboardInterrupt:
        sys.stdout.flush()
        progress.clear()
        output.say_error(f"stopped after line {done}; to go on, decode the same file with --from {done + 1}")
        raise
    finally:
        progress.clear()
        if lines is not sys.stdin.buffer:
            lines.close()
    return output.BAD_INPUT if bad else output.NEGATIVE if unread else output.DONE


def _open(path: str) -> tuple[BinaryIO, int]:
    if path == "-":
        return sys.stdin.buffer, 0
    try:
        stream = open(path, "rb")  # noqa: SIM115, PTH123 - closed by the caller
        size = stream.seek(0, 2)
        stream.seek(0)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise output.BadInput(
            f"{path} cannot be read: {reason}; give a text file with one marking a line, or -"
        ) from None
    return stream, size


def _numbered(lines: BinaryIO, start: int) -> Iterator[tuple[int, bytes]]:
    """Lines with their numbers; of a line that is too long only the beginning is kept."""
    number = 0
    while line := lines.readline(LONGEST_LINE + 1):
        number += 1
        rest = line
        while len(rest) > LONGEST_LINE and not rest.endswith(b"\n"):
            rest = lines.readline(LONGEST_LINE + 1)
        if number >= start:
            yield number, line


def _results(
    lines: Iterable[tuple[int, bytes]], jobs: int, top: int, folder: str | None
) -> Iterator[tuple[int, int, str, str]]:
    if jobs == 1:
        _prepare(folder)
        for number, line in lines:
            yield _decoded(number, line, top)
        return
    from multiprocessing import get_context

    load_tables(folder)  # say here, once, what is wrong with the tables
    source = iter(lines)
    chunks: Iterator[tuple[list[tuple[int, bytes]], int]] = (
        (c, top) for c in iter(lambda: list(islice(source, CHUNK)), [])
    )
    with get_context("spawn").Pool(jobs, _serve, (folder,)) as pool:
        waiting: list[Any] = []
        for chunk in chunks:
            waiting.append(pool.apply_async(_chunk, chunk))
            if len(waiting) > 3 * jobs:  # no more than a few chunks are read ahead
                yield from waiting.pop(0).get()
        for result in waiting:
            yield from result.get()


def _serve(folder: str | None) -> None:
    """Start one of several processes; a stop from the keyboard is for the one that writes."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _prepare(folder)


def _prepare(folder: str | None) -> None:
    global _tables
    _tables = load_tables(folder)
    _ = _tables.searcher, _tables.name_table
    gc.freeze()  # the tables stay to the end; the collector need not look through them again and again


def _chunk(lines: list[tuple[int, bytes]], top: int) -> list[tuple[int, int, str, str]]:
    return [_decoded(number, line, top) for number, line in lines]


def _decoded(number: int, line: bytes, top: int) -> tuple[int, int, str, str]:
    """(line number, bytes, JSON row, error)."""
    if len(line) > LONGEST_LINE:
        return number, len(line), "", f"longer than {LONGEST_LINE} bytes; one marking a line is wanted"
    try:
        text = line.decode("utf-8").rstrip("\r\n")
    except UnicodeDecodeError as error:
        return number, len(line), "", f"byte {error.start + 1} is not UTF-8"
    found = {"schema": 1, "line": number, **decode(text, _tables).as_dict(top)}
    return number, len(line), json.dumps(found), ""


class _Progress:
    """A bar on standard error, only when that is a terminal."""

    def __init__(self, size: int) -> None:
        self._on = sys.stderr.isatty()
        self._size, self._read, self._shown = size, 0, False

    def show(self, number: int, width: int) -> None:
        """After each line; redrawn now and then."""
        self._read += width
        if not self._on or number % 200:
            return
        share = min(1.0, self._read / self._size) if self._size else 0.0
        bar = f"[{'#' * int(BAR * share):<{BAR}}] {share:4.0%} " if self._size else ""
        sys.stderr.write(f"\r{bar}line {number}")
        sys.stderr.flush()
        self._shown = True

    def clear(self) -> None:
        """Take the bar away before other text is written."""
        if self._shown:
            sys.stderr.write("\r" + " " * (BAR + 24) + "\r")
            sys.stderr.flush()
            self._shown = False
