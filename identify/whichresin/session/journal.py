"""The record of an interview as it happens: one JSON line an event, flushed and synced before it takes effect.

A journal is append-only. A line cut off in the middle (power lost, `kill -9`) is left out on reading; what is
lost is at most the answer being written. The first line holds the format, and the knowledge it was made with.
While an interview is held its file is locked, so that no second one can mix its answers in; the lock goes with the
process, however that ends.
"""

from __future__ import annotations

import json
import os
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .events import Allowed, Answered, AtBench, Declined, Event, Noted, PutOff, TakenBack, WhatIf
from .state import USUAL_CELSIUS, State

FORMAT = 1
_SUFFIX = ".journal"
_KINDS: dict[str, type[Event]] = {
    "answered": Answered,
    "declined": Declined,
    "put_off": PutOff,
    "allowed": Allowed,
    "bench": AtBench,
    "taken_back": TakenBack,
    "noted": Noted,
    "what_if": WhatIf,
}


class JournalError(Exception):
    """A journal that cannot be written or read; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """What a journal file holds. `cut` tells that its last line was not whole and was left out."""

    path: Path
    started: str
    knowledge: str
    shop: tuple[str, ...]
    target: str
    events: tuple[Event, ...]
    finished: bool
    cut: bool


def folder() -> Path:
    """Where journals are kept: $WHICHRESIN_DATA, else the user's data folder."""
    chosen = os.environ.get("WHICHRESIN_DATA")
    if chosen:
        return Path(chosen)
    try:
        home = Path.home()
    except RuntimeError:  # nobody's account: no folder can be made below a device, and that is what will be said
        home = Path(os.devnull)
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", str(home))) / "whichresin"
    if sys.platform == "darwin":
        return home / "Library" / "Application Support" / "whichresin"
    base = Path(os.environ.get("XDG_DATA_HOME", ""))
    if not base.is_absolute():  # the XDG rule: a relative path is to be ignored
        base = home / ".local" / "share"
    return base / "whichresin"


class Journal:
    """An open journal. Every `write` is on the disk when it returns."""

    def __init__(self, path: Path, descriptor: int) -> None:
        self.path = path
        self._descriptor = descriptor

    @classmethod
    def start(cls, where: Path, knowledge: str, state: State) -> Journal:
        """A new journal in folder `where`, for an interview that starts from `state`.

        Raises JournalError when it cannot be made.
        """
        stamp = time.strftime("%Y%m%d-%H%M%S")
        try:
            where.mkdir(parents=True, exist_ok=True)
            for number in range(1, 1000):
                path = where / f"{stamp}-{number:03d}{_SUFFIX}"
                try:
                    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_APPEND, 0o600)
                except FileExistsError:
                    continue
                _held_alone(descriptor)
                journal = cls(path, descriptor)
                journal._line(
                    {
                        "whichresin_journal": FORMAT,
                        "started": time.strftime("%Y-%m-%d %H:%M:%S"),
                        "knowledge": knowledge,
                        "shop": list(state.shop),
                        "target": state.target,
                    }
                )
                for what in state.allowed:
                    journal.write(Allowed(what))
                if state.celsius != USUAL_CELSIUS:
                    journal.write(AtBench(state.celsius))
                for answer in state.answers.values():
                    journal.write(answer)
                return journal
        except OSError as error:
            raise JournalError(f"no journal can be kept in {where}: {error.strerror or error}") from None
        raise JournalError(f"no journal can be kept in {where}: too many with the same second")

    @classmethod
    def reopen(cls, recorded: Recorded) -> Journal:
        """Go on with a journal; a cut last line is ended first, so that the next one starts clean.

        Raises JournalError when it cannot be written, or while somebody else goes on with it.
        """
        try:
            descriptor = os.open(recorded.path, os.O_WRONLY | os.O_APPEND)
            if not _held_alone(descriptor):
                os.close(descriptor)
                raise JournalError(
                    "this interview is open in another window; go on there, or leave it there with Ctrl-C first"
                )
            if recorded.cut:
                os.write(descriptor, b"\n")
        except OSError as error:
            raise JournalError(f"{recorded.path} cannot be gone on with: {error.strerror or error}") from None
        return cls(recorded.path, descriptor)

    def write(self, event: Event) -> None:
        """Append one event; raises JournalError when the disk does not take it."""
        self._line(as_data(event))

    def finish(self) -> None:
        """Mark the interview as ended and close the file."""
        self._line({"event": "finished"})
        self.close()

    def close(self) -> None:
        """Close the file; the interview stays open and can be resumed."""
        os.close(self._descriptor)

    def _line(self, data: dict[str, Any]) -> None:
        line = (json.dumps(data, ensure_ascii=True, separators=(",", ":")) + "\n").encode()
        try:
            if os.write(self._descriptor, line) != len(line):
                raise JournalError(f"{self.path}: the disk is full; the last answer is not on it")
            os.fsync(self._descriptor)
        except OSError as error:
            raise JournalError(f"{self.path} cannot be written: {error.strerror or error}") from None


def _held_alone(descriptor: int) -> bool:
    """Lock an open journal for this process; False while another one holds it. True where there are no locks."""
    try:
        import fcntl
    except ImportError:  # Windows
        return True
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:  # a file system without locks
        return True
    return True


def as_data(event: Event) -> dict[str, Any]:
    """An event as plain data."""
    name = next(name for name, kind in _KINDS.items() if type(event) is kind)
    fields = {field: getattr(event, field) for field in event.__dataclass_fields__}
    return {"event": name, **{k: v for k, v in fields.items() if v is not None}}


def from_data(data: Any) -> Event:
    """The event that `as_data` wrote; raises ValueError for anything else."""
    if not isinstance(data, dict) or data.get("event") not in _KINDS:
        raise ValueError("not an event")
    kind = _KINDS[data["event"]]
    fields = {key: _frozen(value) for key, value in data.items() if key != "event"}
    try:
        return kind(**fields)
    except TypeError:
        raise ValueError("an event with other fields") from None


def _frozen(value: Any) -> Any:
    return tuple(_frozen(item) for item in value) if isinstance(value, list) else value


def read(path: Path) -> Recorded:
    """Read a journal; raises JournalError for a file that is none, or of another format."""
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise JournalError(f"{path} cannot be read: {error.strerror or error}") from None
    lines = raw.split(b"\n")
    head = _parsed(lines[0])
    if not isinstance(head, dict) or "whichresin_journal" not in head:
        raise JournalError(f"{path} is not a journal of an interview")
    if head["whichresin_journal"] != FORMAT:
        raise JournalError(
            f"{path} is a journal of format {head['whichresin_journal']!r}; this version reads format {FORMAT}"
        )
    events: list[Event] = []
    finished = False
    for line in lines[1:]:
        data = _parsed(line)
        if isinstance(data, dict) and data.get("event") == "finished":
            finished = True
            continue
        try:
            events.append(from_data(data))
        except ValueError:
            continue  # a line cut off by a crash; it was never acted on
    return Recorded(
        path,
        str(head.get("started", "")),
        str(head.get("knowledge", "")),
        tuple(map(str, head.get("shop", []))),
        str(head.get("target", "decision")),
        tuple(events),
        finished,
        cut=not raw.endswith(b"\n"),
    )


def recorded_in(where: Path) -> list[Recorded]:
    """All readable journals in a folder, newest first."""
    found = []
    for path in sorted(where.glob(f"*{_SUFFIX}"), reverse=True) if where.is_dir() else []:
        try:
            found.append(read(path))
        except JournalError:
            continue
    return found


def _parsed(line: bytes) -> Any:
    try:
        return json.loads(line)
    except ValueError:
        return None
