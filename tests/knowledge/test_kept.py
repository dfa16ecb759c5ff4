"""What a check found is kept only as long as a fresh check would find the same."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from small_knowledge import FILES, Small

from whichresin.knowledge import store
from whichresin.knowledge.paths import Places
from whichresin.training import check as check_module
from whichresin.training import kept
from whichresin.training.kept import Found, check_or_kept

GRIND = "knowledge/cues/grind.yaml"


class Checks:
    """The small knowledge in place of the shipped one, a shop's layer over it, and how often it was really checked."""

    def __init__(self, small: Small, monkeypatch: pytest.MonkeyPatch) -> None:
        self.small, self.times = small, 0
        self.shop = small.write("shop/cues/grind.yaml", FILES[GRIND]).parent.parent
        places = Places(small.knowledge, small.shared)
        monkeypatch.setattr("whichresin.training.scope.places_of", lambda knowledge, shared: places)
        self._check = check_module.check
        monkeypatch.setattr(check_module, "check", self._counted)
        self.meanwhile: Callable[[], object] = lambda: None

    def _counted(self, paths: list[str]) -> check_module.Checked:
        self.times += 1
        checked = self._check(paths)
        self.meanwhile()
        return checked

    def lines(self, *paths: str, fresh: bool = False) -> list[str]:
        """What is found, which is always what a fresh check finds."""
        found = check_or_kept(paths or (str(self.shop),), fresh)
        truth = self._check(paths or (str(self.shop),))
        assert found == Found(truth.problems, truth.examples)
        assert found.has_errors == truth.has_errors
        return [str(one) for one in found.problems]


@pytest.fixture
def checks(small: Small, monkeypatch: pytest.MonkeyPatch) -> Checks:
    """Checks that are counted, of files that were written long ago."""
    return Checks(small, monkeypatch)


def test_a_second_check_of_the_same_is_not_made(checks: Checks) -> None:
    """It says the same, remarks included, from the file in the cache folder."""
    first = checks.lines()
    assert first
    assert checks.lines() == first
    assert checks.times == 1
    checks.lines(fresh=True)
    assert checks.times == 2


def test_any_change_of_what_is_read_is_seen(checks: Checks) -> None:
    """A file edited, added, removed or put back, in the shared folder, the knowledge or the shop's layer."""
    small = checks.small
    small.write("shared/more.yaml", "a: b\n")
    checks.lines()
    steps: list[Callable[[], object]] = [
        lambda: small.change(GRIND, "minutes: 2", "minutes: two"),
        lambda: small.change(GRIND, "minutes: two", "minutes: 2"),
        lambda: small.change("shop/cues/grind.yaml", "minutes: 2", "minutes: x"),
        lambda: small.change("shop/cues/grind.yaml", "minutes: x", "minutes: 2"),
        lambda: small.write("shop/rules/own.yaml", "rules: 1\n"),
        (checks.shop / "rules/own.yaml").unlink,
        lambda: small.write("shared/more.yaml", "a: [\n"),
        (small.root / "shared/more.yaml").unlink,
        lambda: (small.root / GRIND).rename(small.root / "knowledge/cues/grinding.yaml"),
    ]
    for times, step in enumerate(steps, 2):
        step()
        checks.lines()
        assert checks.times == times


def test_other_paths_and_another_folder_are_another_check(checks: Checks, monkeypatch: pytest.MonkeyPatch) -> None:
    """Places are shown as seen from where one stands, and a path may narrow what is told."""
    checks.small.change(GRIND, "minutes: 2", "minutes: two")
    everything = checks.lines()
    narrowed = checks.lines(str(checks.small.root / "shared"))
    assert len(narrowed) < len(everything)
    monkeypatch.chdir(checks.small.root)
    seen_from_here = checks.lines()
    assert seen_from_here != everything
    assert checks.times == 3


def test_a_changed_program_checks_again(checks: Checks, monkeypatch: pytest.MonkeyPatch) -> None:
    """What an older version found says nothing of what this one would find."""
    checks.lines()
    monkeypatch.setattr(store, "code_stamps", lambda rooms: [("a.py", "a.py", 1, 1)])
    checks.lines()
    checks.lines()
    assert checks.times == 2
    monkeypatch.setattr(store, "code_stamps", lambda rooms: [("a.py", "a.py", 1, 1 << 62)])  # just being written
    checks.lines()
    checks.lines()
    assert checks.times == 4


@pytest.mark.parametrize("harm", ["cut", "garbage", "other", "folder"])
def test_what_is_broken_is_as_good_as_absent(checks: Checks, own_cache: Path, harm: str) -> None:
    """Nothing that lies in the cache folder can make a check fail or lie."""
    lines = checks.lines()
    (file,) = own_cache.glob("check-*")
    data = file.read_bytes()
    if harm == "folder":
        file.unlink()
        file.mkdir()
    elif harm == "other":
        head, _, body = data.partition(b"\n")
        file.write_bytes(head + b"\n" + body.replace(b"[", b"{", 1))
    else:
        file.write_bytes(data[:-3] if harm == "cut" else os.urandom(64))
    assert checks.lines() == lines
    assert checks.times == 2


def test_a_file_saved_while_the_check_ran_is_not_overlooked(checks: Checks) -> None:
    """What was found then is of neither version, so it is not kept."""
    checks.meanwhile = lambda: checks.small.change(GRIND, "minutes: 2", "minutes: 3")
    check_or_kept([str(checks.shop)])
    checks.meanwhile = lambda: None
    checks.lines()
    assert checks.times == 2


def test_without_a_place_to_keep_it_the_check_is_made(checks: Checks, monkeypatch: pytest.MonkeyPatch) -> None:
    """A cache folder that cannot be written is no error."""
    monkeypatch.setenv("WHICHRESIN_CACHE", os.devnull)
    assert checks.lines() == checks.lines()
    assert checks.times == 2


def test_a_folder_that_cannot_be_listed_is_told(checks: Checks) -> None:
    """Also the second time."""
    for _ in range(2):
        (line,) = checks.lines(str(checks.small.root / "nowhere"))
        assert "nowhere" in line


def test_every_room_that_checks_counts() -> None:
    """A change of the program in any room that a check loads must make what was found stale."""
    told = "import sys, whichresin.training.check; print(*(name for name in sys.modules if name[:11] == 'whichresin.'))"
    loaded = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True).stdout.split()
    rooms = {"/".join(Path(str(sys.modules[name].__file__)).parts[-3:-1]) for name in loaded if name in sys.modules}
    assert len(rooms) > 5
    assert {room.removeprefix("whichresin/") for room in rooms} - {"identify/whichresin"} <= set(kept.ROOMS)
