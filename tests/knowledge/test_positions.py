"""The text-first reader: nothing is guessed, every place is right, and nothing that a file holds can harm."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.knowledge import positions
from whichresin.knowledge.positions import Mapping, Node, Scalar, Sequence, read, read_bytes, read_text, walk
from whichresin.vocabulary.text import first_control


def plain(node: Node | None) -> object:
    """A node as lists, dicts and texts."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return {key.text: plain(value) for key, value in node.pairs} if node is not None else None


def said(text: str | bytes) -> list[str]:
    """The problems of a text, as lines."""
    reading = read_text(text, "f") if isinstance(text, str) else read_bytes(text, "f")
    return [str(problem) for problem in reading.problems]


def test_yaml_guesses_nothing() -> None:
    """`no`, `on`, leading zeros, times and exponents stay the text that was written."""
    words = ["no", "on", "yes", "~", "null", "010", "0x1f", "12:30", "1e-3", "1_000", "2026-01-31", ".inf", "<<", "="]
    root, problems = read_text("".join(f"- {word}\n" for word in words), "f")
    assert plain(root) == words
    assert not problems
    assert plain(read_text("drips: no", "f").root) == {"drips": "no"}
    assert plain(read_text('drips: "no"', "f").root) == {"drips": "no"}


def test_every_node_knows_its_place() -> None:
    """Line and column count from 1 and point at the first character, in block and flow style."""
    root, _ = read_text("a: x\nb:\n  - {c: y, d: 'z'}\n", "f")
    assert isinstance(root, Mapping)
    places = {node.text: (node.line, node.column, node.quoted) for node in walk(root) if isinstance(node, Scalar)}
    assert places == {
        "a": (1, 1, False),
        "x": (1, 4, False),
        "b": (2, 1, False),
        "c": (3, 6, False),
        "y": (3, 9, False),
        "d": (3, 12, False),
        "z": (3, 15, True),
    }


def test_first_of_repeated_keys_is_kept_and_the_second_told() -> None:
    """PyYAML would silently keep the last."""
    reading = read_text("a: 1\nb: 2\na: 3\n", "f")
    assert plain(reading.root) == {"a": "1", "b": "2"}
    assert [str(one) for one in reading.problems] == [
        "f:3:1: error: key 'a' stands here a second time; the first is on line 1 [repeated-key]"
    ]


@pytest.mark.parametrize(
    ("text", "place", "sentence"),
    [
        (b"", "0:0", "the file is empty [empty-file]"),
        (b" \n\t\n", "0:0", "the file is empty [empty-file]"),
        (b"# nothing\n", "0:0", "the file holds no data, only comments [empty-file]"),
        (b"a: \x00", "0:0", "the file holds NUL bytes; a text file in UTF-8 was expected [not-text]"),
        (b"\x7fELF\x02\x01", "1:1", "control character '\\x7f' is not allowed; take it out [control-character]"),
        (b"a: 1\nbc: \xe9", "2:5", "byte 0xe9 is not UTF-8; save the file as UTF-8 text [not-text]"),
        (
            b"a: 1\nb: x\x1b[2J",
            "2:5",
            "control character '\\x1b' is not allowed; take it out [control-character]",
        ),
        (
            "a: \u202egnp".encode(),
            "1:4",
            "control character '\\u202e' is not allowed; take it out [control-character]",
        ),
        (
            b'a: "\\e[2J"',
            "1:4",
            "this text holds control character '\\x1b'; take it out [control-character]",
        ),
        (b"a: >PA66-GF30<", "1:4", "'>' or '|' starts a block of text here; put the marking in quotes [not-yaml]"),
        (b"- >PP<", "1:3", "'>' or '|' starts a block of text here; put the marking in quotes [not-yaml]"),
        (
            b"a: !!python/name:os.system ''",
            "1:4",
            "tag '!!python/name:os.system' is not allowed; write plain text or a list [tag]",
        ),
        (b"a: !x {b: c}", "1:4", "tag '!x' is not allowed; write plain text or a list [tag]"),
        (b"a: *b", "1:4", "alias '*b' names an anchor that is not set [bad-alias]"),
        (b"a: &b [*b]", "1:8", "alias '*b' refers to the list it stands in [bad-alias]"),
        (b"a: 1\n---\nb: 2\n", "2:1", "a second document starts here; one file holds one [second-document]"),
        (b"a: [1, 2\nb: 3\n", "1:4", "the list that starts here with [ is not closed, or lacks a comma [not-yaml]"),
        (b"a: 'x\n", "1:4", "this quoted text is not closed, or holds a wrong \\ escape [not-yaml]"),
        (b"a: @x", "1:4", "this character cannot start a value; put the text in quotes [not-yaml]"),
        (b"\ta: 1", "1:1", "a tab stands here; use spaces to indent [not-yaml]"),
        (b"[a, b]: c", "1:1", "a key must be one word, not a list or mapping [bad-key]"),
    ],
)
def test_bad_files_get_one_clear_sentence(text: bytes, place: str, sentence: str) -> None:
    """The place and the remedy, never the parser's own words or a traceback."""
    assert said(text) == [f"f:{place}: error: {sentence}"]


def test_windows_files_read_the_same() -> None:
    """A byte-order mark and CR LF line ends are how some editors save."""
    assert plain(read_bytes(b"\xef\xbb\xbfa: 1\r\nb: x\r\n", "f").root) == {"a": "1", "b": "x"}


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    """100 MB of anything costs neither time nor memory."""
    path = tmp_path / "big.yaml"
    with path.open("wb") as stream:
        stream.truncate(100 << 20)
    assert [str(one) for one in read(path, "big").problems] == [
        "big:0:0: error: the file is larger than 1024 KiB [too-large]"
    ]
    path.write_bytes(b"a: " + b"x" * 90 + b"\n")
    assert read(path, "big", max_bytes=93).problems[0].code == "too-large"
    assert read(path, "big", max_bytes=94).root is not None


def test_paths_that_are_no_files(tmp_path: Path) -> None:
    """A folder, a missing file and an impossible name each get a sentence."""
    assert said_of(tmp_path) == "f:0:0: error: this is a folder; a file was expected [not-a-file]"
    assert said_of(tmp_path / "no.yaml") == "f:0:0: error: there is no such file [no-such-file]"
    assert said_of("a\0b").startswith("f:0:0: error: the file cannot be opened: ")
    locked = tmp_path / "locked.yaml"
    locked.write_text("a: 1")
    locked.chmod(0)
    if not os.access(locked, os.R_OK):  # root may read everything
        assert said_of(locked) == "f:0:0: error: the file cannot be opened: Permission denied [cannot-read]"


def said_of(path: str | Path) -> str:
    (problem,) = read(path, "f").problems
    return str(problem)


def test_depth_is_limited_without_touching_the_call_stack() -> None:
    """A hundred thousand brackets are refused at the first one too deep."""
    deepest = "[" * positions.MAX_DEPTH + "]" * positions.MAX_DEPTH
    assert not said(deepest)
    assert said("[" * 25) == ["f:1:25: error: this is nested deeper than 24 levels [too-deep]"]
    for bracket in ("[", "{a: ", "- "):
        assert said(bracket * 100_000)[0].endswith("[too-deep]")


def test_depth_counts_what_aliases_bring_along() -> None:
    """Nesting hidden behind an alias is nesting all the same."""
    chain = "- &a0 [x]\n" + "".join(f"- &a{n} [*a{n - 1}]\n" for n in range(1, 30))
    assert said(chain) == ["f:23:9: error: followed here, this alias nests deeper than 24 levels [too-deep]"]


def test_aliases_are_limited_in_number_and_in_what_they_unfold_to() -> None:
    """Ten lines that unfold to a thousand million entries are refused before anything unfolds."""
    few = "- &a x\n" + "- *a\n" * positions.MAX_ALIASES
    assert not said(few)
    assert said(few + "- *a\n") == ["f:202:3: error: more than 200 aliases in one file [too-many-aliases]"]
    laughs = "- &a0 [x, x, x, x, x, x, x, x, x, x]\n"
    laughs += "".join(f"- &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]\n" for n in range(1, 10))
    (line,) = said(laughs)
    assert line.endswith("error: the file unfolds to more than 100000 entries [too-many-nodes]")


def test_the_slow_parser_gives_the_same_tree_and_places(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where PyYAML was built without its C part, nothing changes but the speed."""
    text = "a: x\nb: [1, {c: 'no', d: 010}]\ne: >-\n  two\n  lines\n"
    fast = read_text(text, "f")
    monkeypatch.delattr(yaml, "CSafeLoader", raising=False)
    slow = read_text(text, "f")
    assert fast == slow
    assert said("a: >PP<") == [
        "f:1:4: error: '>' or '|' starts a block of text here; put the marking in quotes [not-yaml]"
    ]


YAMLISH = st.text(st.sampled_from(list("ab :-[]{}'\"|>&*!#,?%@`\n\t0.\\é\x1b\u202e")), max_size=60)


@settings(max_examples=300, deadline=None)
@given(st.one_of(YAMLISH, st.text(max_size=60)))
def test_no_text_raises_or_reaches_the_terminal_raw(text: str) -> None:
    """Whatever stands in a file: a tree or problems, and only harmless characters in what is printed."""
    reading = read_text(text, "f")
    assert reading.root is not None or reading.problems
    for problem in reading.problems:
        assert first_control(str(problem)) < 0
        assert "\n" not in str(problem)
        assert problem.line <= text.count("\n") + 2
    for node in walk(reading.root) if reading.root is not None else ():
        assert not isinstance(node, Scalar) or first_control(node.text) < 0


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=80))
def test_no_bytes_raise(data: bytes) -> None:
    """Pictures, archives and half-written files included."""
    reading = read_bytes(data, "f")
    assert reading.root is not None or reading.problems


SAFE = st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=8)
TREES = st.recursive(
    SAFE, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(SAFE, inner, max_size=4), max_leaves=12
)


@settings(max_examples=150, deadline=None)
@given(TREES)
def test_what_is_written_is_read_back(tree: object) -> None:
    """Every text comes back as it was, however another program chose to write it."""
    text = yaml.safe_dump(tree, allow_unicode=True)
    assert plain(read_text(text, "f").root) == tree
