"""The record of a job being worked through: one JSON line an event, on the disk before it takes effect.

A line cut off by a crash is left out on reading. Only one program at a time may write to a record.
"""

from __future__ import annotations

import json
import os
import time
from dataclasses import asdict
from pathlib import Path
from typing import Any
from uuid import uuid4

from .bench_run import EVENTS, Happened, Tick

FORMAT = 1


class RunError(Exception):
    """The record cannot be read or written; the message is one sentence."""


def tick(session: str) -> Tick:
    """This moment."""
    return Tick(time.time(), time.monotonic(), session)


def new_session() -> str:
    """A name for this run of the program: within it the monotonic clock can be compared."""
    return uuid4().hex[:12]


class RunFile:
    """The record of one sheet, open for writing."""

    def __init__(self, path: Path, sheet: str) -> None:
        """Open or make it. Raises RunError when it cannot be, is of another sheet, or is in use."""
        self.path = path
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o600)
        except OSError as error:
            raise RunError(f"{path} cannot be written: {error.strerror or error}") from None
        try:
            self._lock()
            raw = path.read_bytes()
            if raw and not raw.endswith(b"\n"):
                self._put(b"\n")  # end the line that was cut off
            if not raw:
                self._line({"whichresin_run": FORMAT, "sheet": sheet})
            self.events: list[Happened] = read_run(path, sheet)
        except BaseException:
            os.close(self._descriptor)
            raise

    def write(self, event: Happened) -> None:
        """Append one event; raises RunError when the disk does not take it, and then it has not happened."""
        self._line(asdict(event))
        self.events.append(event)

    def close(self) -> None:
        """Close it and let others write."""
        os.close(self._descriptor)

    def _lock(self) -> None:
        try:
            import fcntl
        except ImportError:  # no such locks on this system
            return
        try:
            fcntl.flock(self._descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise RunError("this sheet is being worked through in another window; go on there") from None

    def _line(self, data: dict[str, Any]) -> None:
        self._put((json.dumps(data, ensure_ascii=True, separators=(",", ":")) + "\n").encode())

    def _put(self, data: bytes) -> None:
        try:
            if os.write(self._descriptor, data) != len(data):
                raise RunError(f"{self.path}: the disk is full; what you just did is not on it")
            os.fsync(self._descriptor)
        except OSError as error:
            raise RunError(f"{self.path} cannot be written: {error.strerror or error}") from None


def read_run(path: Path, sheet: str) -> list[Happened]:
    """The events of a record; an empty list when there is none. Raises RunError for another sheet's record."""
    try:
        lines = path.read_bytes().split(b"\n")
    except FileNotFoundError:
        return []
    except OSError as error:
        raise RunError(f"{path} cannot be read: {error.strerror or error}") from None
    head = _parsed(lines[0])
    if not isinstance(head, dict) or head.get("whichresin_run") != FORMAT or head.get("sheet") != sheet:
        raise RunError(f"{path} is not the record of this sheet; set it aside and begin again")
    return [event for line in lines[1:] if (event := _event(_parsed(line))) is not None]


def _event(data: Any) -> Happened | None:
    """An event as it was written; None for a line that was cut off."""
    try:
        at = Tick(float(data["at"]["wall"]), float(data["at"]["mono"]), str(data["at"]["session"]))
        kind, step = data["kind"], int(data["step"])
        if kind not in EVENTS:
            return None
        if kind == "minutes":
            float(data["text"])
        return Happened(kind, at, step, str(data["name"]), str(data["text"]))
    except (TypeError, KeyError, ValueError):
        return None


def _parsed(line: bytes) -> Any:
    try:
        return json.loads(line)
    except ValueError:
        return None
