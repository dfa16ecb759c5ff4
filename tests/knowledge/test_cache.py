"""The compiled cache: as good as the files, and never trusted further than that."""

from __future__ import annotations

import gc
import json
import os
import subprocess
import sys
import time
from dataclasses import replace
from functools import cache as cache_result
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_knowledge import Small

from whichresin.engine import conditions as c
from whichresin.engine.rules import Conclusion, Rule
from whichresin.knowledge import cache, codec, store
from whichresin.knowledge.load import load
from whichresin.knowledge.model import Model

LONG_AGO = 1_600_000_000


def age(*folders: Path | str) -> None:
    """Let every file look as if it was changed long ago, so that its time alone is trusted."""
    for folder in folders:
        for path in Path(folder).rglob("*"):
            os.utime(path, (LONG_AGO, LONG_AGO))


@pytest.fixture
def code_is_old(monkeypatch: pytest.MonkeyPatch) -> None:
    """The program's own files do not change during a test, whenever they were checked out."""
    monkeypatch.setattr(store, "code_stamps", lambda rooms: [("code", "code", 1, 1)])


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Which ways a model was come by: `files` for each compilation, `cache` for each decoding."""
    seen: list[str] = []
    from whichresin.knowledge import compile as compile_module

    compiled, decoded = compile_module.compile_files, codec.from_plain
    monkeypatch.setattr(compile_module, "compile_files", lambda *a: (seen.append("files"), compiled(*a))[1])
    monkeypatch.setattr(codec, "from_plain", lambda plain: (seen.append("cache"), decoded(plain))[1])
    return seen


def cache_file(own_cache: Path) -> Path:
    (path,) = own_cache.glob("model-*")
    return path


def test_the_cached_model_equals_the_fresh_one(small: Small, code_is_old: None, reads: list[str]) -> None:
    """Bit for bit: a second run must not answer otherwise than the first."""
    age(small.root)
    fresh = small.load(use_cache=True)
    cached = small.load(use_cache=True)
    assert reads == ["files", "cache"]
    assert cached == fresh
    assert cached.model is not None
    assert hash(cached.model.compounds) == hash(fresh.model.compounds if fresh.model else ())


def test_warnings_and_notes_come_back_from_the_cache(small: Small, code_is_old: None) -> None:
    """Which row overrides which is said on every run, not on the first only."""
    small.change("knowledge/cues/look.yaml", "for: {family: polyolefin}", "for: {class: elastomer}")
    age(small.root)
    first, second = small.load(use_cache=True), small.load(use_cache=True)
    assert [problem.code for problem in first.problems] == ["matches-nothing"]
    assert second.problems == first.problems


def test_places_in_cached_problems_fit_the_folder_one_stands_in(
    small: Small, code_is_old: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same warning read from another folder must still lead to the file."""
    small.change("knowledge/cues/look.yaml", "for: {family: polyolefin}", "for: {class: elastomer}")
    age(small.root)
    for folder in (small.root, small.root / "knowledge", small.root):
        monkeypatch.chdir(folder)
        for _ in range(2):
            (problem,) = small.load(use_cache=True).problems
            assert Path(problem.file).resolve() == small.root / "knowledge/cues/look.yaml"


@pytest.mark.parametrize(
    "change",
    [
        lambda small: small.change("knowledge/cues/grind.yaml", "minutes: 2", "minutes: 3"),
        lambda small: small.write("knowledge/parts/more.yaml", "parts: []\n"),
        lambda small: (small.root / "knowledge/cues/look.yaml").unlink(),
        lambda small: (small.root / "knowledge/parts/covers.yaml").rename(small.root / "knowledge/parts/lids.yaml"),
    ],
    ids=["edited, same size", "added", "removed", "renamed"],
)
def test_any_change_of_the_files_is_noticed(small: Small, code_is_old: None, reads: list[str], change) -> None:  # type: ignore[no-untyped-def]
    """A stale answer after an edit would make the author mistrust the tool."""
    age(small.root)
    small.load(use_cache=True)
    change(small)
    small.load(use_cache=True)
    assert reads == ["files", "files"]


def test_content_decides_when_only_the_time_differs(small: Small, code_is_old: None, reads: list[str]) -> None:
    """A fresh checkout has new times and old words: nothing to compile, and the next run trusts the times."""
    age(small.root)
    small.load(use_cache=True)
    for path in small.root.rglob("*"):
        os.utime(path, (LONG_AGO + 99, LONG_AGO + 99))
    small.load(use_cache=True)
    assert reads == ["files", "cache"]
    kept_now = cache.read(str(next(Path(os.environ["WHICHRESIN_CACHE"]).glob("model-*"))), [], codec.shape())
    assert kept_now is not None
    assert not kept_now.sure


def test_files_too_young_to_trust_their_time_are_compared_by_content(
    small: Small, code_is_old: None, reads: list[str]
) -> None:
    """Two edits within one tick of the clock that keep the size leave no trace in size and time."""
    small.load(use_cache=True)
    path = small.root / "knowledge/cues/grind.yaml"
    stat = path.stat()
    small.change("knowledge/cues/grind.yaml", "minutes: 2", "minutes: 9")
    os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    loaded = small.load(use_cache=True)
    assert loaded.model is not None
    assert loaded.model.cues["grind"].minutes == 9
    assert reads == ["files", "files"]


def test_a_change_of_the_program_makes_the_cache_stale(
    small: Small, reads: list[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Compiled by old code is not compiled by this code, even at the same version."""
    code = tmp_path / "code.py"
    code.write_text("a = 1")
    monkeypatch.setattr(store, "code_stamps", lambda rooms: [(str(code), "code.py", *code.stat()[6:9:2])])
    age(small.root)
    small.load(use_cache=True)
    code.write_text("a = 22")
    small.load(use_cache=True)
    assert reads == ["files", "files"]


@pytest.mark.parametrize(
    "damage",
    [
        lambda data: data[: len(data) // 2],
        lambda data: data[:-1],
        lambda data: b"",
        lambda data: b"\x80\x04\x95junk",
        lambda data: data.replace(b'"thermoplastic"', b'"thermoplastik"', 1),
        lambda data: data.replace(b"whichresin ", b"whichresin 9", 1),
    ],
    ids=["half", "one byte short", "empty", "other format", "a letter changed", "other version"],
)
def test_a_damaged_or_foreign_cache_is_ignored_and_rebuilt(
    small: Small, own_cache: Path, code_is_old: None, reads: list[str], damage
) -> None:  # type: ignore[no-untyped-def]
    """A full disk, a crash or another version: slower once, never wrong, never a traceback."""
    age(small.root)
    fresh = small.load(use_cache=True)
    path = cache_file(own_cache)
    whole = path.read_bytes()
    path.write_bytes(damage(whole))
    assert path.read_bytes() != whole
    assert small.load(use_cache=True) == fresh
    assert reads == ["files", "files"]
    assert small.load(use_cache=True) == fresh
    assert reads[-1] == "cache"


JUNK = st.recursive(st.none() | st.booleans() | st.integers() | st.text(max_size=3), st.lists, max_leaves=6)


@settings(max_examples=60, deadline=None)
@given(JUNK, st.integers(0, 15))
def test_a_well_formed_cache_with_wrong_contents_cannot_break_the_start(junk: object, place: int) -> None:
    """A checksum proves that nothing was damaged, not that it was ever right."""
    losses = [[], [], [], [], 1, 1, 1, {}, 1, []]
    plain: list[object] = ["key", [], [], [], [], [], [], losses, [], [], [], [], [[]] + [0] * 6, [], {}, ""]
    assert isinstance(codec.from_plain(plain), Model)
    plain[place] = junk
    from whichresin.knowledge.load import _from_kept

    _from_kept(cache.Kept(True, "", "", [], "", plain))


def test_a_folder_that_cannot_be_written_is_no_error(
    small: Small, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A read-only home costs a second at each start, and nothing else."""
    blocked = tmp_path / "a file"
    blocked.write_text("")
    monkeypatch.setenv("WHICHRESIN_CACHE", str(blocked / "sub"))
    assert small.load(use_cache=True).model is not None
    assert small.load(use_cache=True).model is not None


def test_another_users_cache_is_not_trusted(
    small: Small, code_is_old: None, reads: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a shared temporary folder somebody else could have put the file there."""
    age(small.root)
    small.load(use_cache=True)
    monkeypatch.setattr(os, "getuid", lambda: 54321)
    small.load(use_cache=True)
    assert reads == ["files", "files"]


def test_nothing_half_written_is_left_behind(small: Small, own_cache: Path) -> None:
    """The file appears whole or not at all, and holds plain JSON after its head line."""
    small.load(use_cache=True)
    assert [path.name for path in own_cache.iterdir()] == [cache_file(own_cache).name]
    json.loads(cache_file(own_cache).read_bytes().partition(b"\n")[2])


def test_errors_are_not_cached(small: Small, own_cache: Path) -> None:
    """A broken knowledge is read again until it is mended."""
    small.change("knowledge/cues/grind.yaml", "minutes: 2", "minutes: two")
    assert small.load(use_cache=True).model is None
    assert not own_cache.exists()


def test_where_the_cache_lies(monkeypatch: pytest.MonkeyPatch) -> None:
    """WHICHRESIN_CACHE first, then the XDG folder when it is absolute, as its rules ask."""
    from whichresin.knowledge.paths import cache_folder

    monkeypatch.setenv("WHICHRESIN_CACHE", "/somewhere/else")
    assert cache_folder() == "/somewhere/else"
    monkeypatch.delenv("WHICHRESIN_CACHE")
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", "/x/cache")
    assert cache_folder() == "/x/cache/whichresin"
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    monkeypatch.setenv("HOME", "/home/someone")
    assert cache_folder() == "/home/someone/.cache/whichresin"


NAMES = st.text("abc_", min_size=1, max_size=4)
VALUES = st.one_of(st.text(max_size=4), st.floats(allow_nan=False, allow_infinity=False))
LEAVES = st.one_of(
    st.builds(c.Equals, NAMES, st.one_of(VALUES, st.builds(c.Var, NAMES))),
    st.builds(c.OneOf, NAMES, st.lists(VALUES, min_size=1, max_size=3).map(tuple)),
    st.builds(c.Within, NAMES, st.none() | st.floats(0, 3), st.none() | st.floats(3, 9), st.booleans(), st.booleans()),
    st.builds(c.Known, NAMES),
    st.builds(c.NotKnown, NAMES),
)
CONDITIONS = st.recursive(
    LEAVES,
    lambda inner: st.one_of(
        *(st.builds(kind, st.lists(inner, min_size=1, max_size=3).map(tuple)) for kind in (c.All, c.Some, c.Never))
    ),
    max_leaves=8,
)


@cache_result
def shipped_model() -> Model:
    """The shipped knowledge, compiled once for all cases."""
    model = load(use_cache=False).model
    assert model is not None
    return model


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.lists(CONDITIONS, min_size=1, max_size=3), NAMES, VALUES), max_size=4), st.floats(0.01, 9))
def test_every_rule_and_number_survives_the_round_trip(rules: list, minutes: float) -> None:  # type: ignore[type-arg]
    """Any rule the loader can build, and any number, comes back equal through JSON text."""
    model = shipped_model()
    built = tuple(
        Rule(f"r{n}", c.All(tuple(parts)), (Conclusion(name, value), Conclusion("x", c.Var("v"))), "because", ("S",))
        for n, (parts, name, value) in enumerate(rules)
    )
    cues = {"grind": replace(model.cues["grind"], minutes=minutes)}
    less = {"compounds": model.compounds[-1:], "facts": {}, "against": {}}
    model = replace(model, rules=built, cues=cues, parts={}, materials={}, cautions={}, sources={}, **less)
    assert codec.from_plain(json.loads(json.dumps(codec.to_plain(model)))) == model


def test_shipped_knowledge_survives_the_round_trip() -> None:
    """What is shipped is richer than any small knowledge."""
    model = shipped_model()
    again = codec.from_plain(json.loads(json.dumps(codec.to_plain(model))))
    assert again == model


def test_the_warm_path_loads_no_parser() -> None:
    """From the cache neither YAML nor the matcher of near words nor hashing is paid for."""
    script = (
        "import sys; from whichresin.knowledge.load import load; load()\n"
        "print([name for name in ('yaml', 'rapidfuzz', 'hashlib', 'pathlib') if name in sys.modules])"
    )
    for _ in range(8):  # files written a moment ago are compared by content, which needs hashing
        done = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True)
        if done.stdout.strip() == "[]":
            break
        time.sleep(1)
    assert done.stdout.strip() == "[]"


def test_the_garbage_collector_is_left_as_it_was(small: Small, code_is_old: None) -> None:
    """Loading pauses it; a caller's choice must not be changed by that."""
    age(small.root)
    for _ in range(2):
        small.load(use_cache=True)
        assert gc.isenabled()
    gc.disable()
    try:
        small.load(use_cache=True)
        assert not gc.isenabled()
    finally:
        gc.enable()
