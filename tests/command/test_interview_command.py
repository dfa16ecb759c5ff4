"""`whichresin interview` as scripts meet it: the JSON contract, exit codes, one sentence on bad input."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest


def run(*args: str, stdin: bytes = b"", **env: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "whichresin", *args],
        input=stdin,
        capture_output=True,
        check=False,
        timeout=120,
        env={**os.environ, **env},
    )


def result_of(text: str, tmp_path: Path, *args: str) -> dict:  # type: ignore[type-arg]
    path = tmp_path / "answers.yaml"
    path.write_text(text, encoding="utf-8")
    done = run("interview", "--answers", str(path), "--json", *args)
    assert done.returncode == 0, done.stderr
    assert done.stderr == b""
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def test_the_json_holds_what_scripts_rely_on(tmp_path: Path) -> None:
    """Design contract, schema 1: keys, types, probabilities that add up, best first."""
    result = result_of("answers: {float_in_water: sinks, grind: powder}", tmp_path)
    assert result["schema"] == 1
    assert result["status"] in ("concluded", "open", "contradiction", "unknown")
    assert set(result["class"]) == {"thermoplastic", "thermoset", "elastomer"}
    assert sum(result["class"].values()) + result["none_of_these"] == pytest.approx(1, abs=1e-5)
    chances = [polymer["probability"] for polymer in result["polymers"]]
    assert chances == sorted(chances, reverse=True) and all(0 < p < 1 for p in chances)
    assert {"symbol", "name", "probability"} <= set(result["polymers"][0])
    assert sum(cell["probability"] for cell in result["cells"]) == pytest.approx(1, abs=1e-5)
    assert {"id", "name", "probability"} <= set(result["cells"][0])
    assert {"cue", "question", "values", "worth"} <= set(result["next"])
    assert {"text", "facts", "source"} <= set(result["because"][0])
    assert {"id", "text"} <= set(result["cautions"][0])
    assert all(reason["source"] for reason in result["because"])


def test_a_marking_alone_is_answer_enough_for_a_script() -> None:
    """`--marking` or `--part` with --json needs no answers file beside it; with nothing at all it is refused."""
    done = run("interview", "--marking", ">PA66-GF30<", "--json")
    assert done.returncode == 0 and json.loads(done.stdout)["polymers"][0]["symbol"] == "PA66"
    assert json.loads(run("interview", "--part", "fuel tank", "--json").stdout)["gate"]["state"] == "shut"
    nothing = run("interview", "--json")
    assert nothing.returncode == 2 and nothing.stderr.count(b"\n") == 1


def test_the_same_answers_give_the_same_bytes(tmp_path: Path) -> None:
    """Nothing depends on the hash seed, the time or the cache."""
    path = tmp_path / "answers.yaml"
    path.write_text("look: [waxy, opaque]\nfloat_in_water: sinks\n")
    first, second = (run("interview", "--answers", str(path), "--json", PYTHONHASHSEED=seed) for seed in ("1", "2"))
    assert first.stdout == second.stdout != b""


def test_burn_needs_leave(tmp_path: Path) -> None:
    """No burn cue among the questions without leave; with it they may be, and the cautions are those of fire."""
    without = result_of("answers: {float_in_water: sinks}", tmp_path)
    burning = {"ignites", "after_flame", "flame", "smoke", "drips", "residue", "odour", "beilstein"}
    assert burning.isdisjoint(question["cue"] for question in without["questions"])
    with_leave = result_of("answers: {float_in_water: sinks}", tmp_path, "--allow-burn")
    assert not burning.isdisjoint(question["cue"] for question in with_leave["questions"])
    assert with_leave["next"]["cue"] not in burning


def test_the_shop_changes_what_matters(tmp_path: Path) -> None:
    """With a welder at hand class and filler become decisive, so a look for fibres is worth more."""
    answers = "float_in_water: sinks\nhot_needle: melts_strings_late\nflex: rigid\n"
    worth = {}
    for shop in ("welder", "nothing"):
        result = result_of(f"{answers}shop: [{shop}]\n", tmp_path)
        worth[shop] = next(q["worth"] for q in result["questions"] if q["cue"] == "fibres_at_edge")
    assert worth["welder"] > worth["nothing"]


def test_target_polymer_asks_on_for_the_name(tmp_path: Path) -> None:
    """Floats and smears settles the repair group; the name stays open and is asked for on request."""
    answers = "duty: none_of_these\ncondition: sound\nfloat_in_water: floats\ngrind: smears\n"
    answers += "hot_needle: melts_strings\n"
    assert result_of(answers, tmp_path)["status"] == "concluded"
    assert result_of(answers, tmp_path, "--target", "polymer")["target"] == "polymer"


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("empty.yaml", b"", "is empty"),
        ("list.yaml", b"- a\n- b\n", "must be a mapping"),
        ("binary.yaml", bytes(range(256)), "NUL bytes"),
        ("broken.yaml", b"answers: {a: [}\n", "broken.yaml:1:"),
        ("cue.yaml", b"answers: {grnd: powder}\n", "did you mean 'grind'?"),
        ("value.yaml", b"answers: {grind: pwder}\n", "did you mean 'powder'?"),
        ("marking.yaml", b"marking: >PA66-GF30<\n", "quotes"),
        ("control.yaml", b'part: "a\\x1b[2Jb"\n', "control character"),
        ("latin.yaml", "part: Kotflügel".encode("latin-1"), "not UTF-8"),
    ],
)
def test_bad_files_get_one_sentence_and_exit_code_2(tmp_path: Path, name: str, content: bytes, words: str) -> None:
    """What, where, what to do instead; no traceback, nothing on standard output."""
    (tmp_path / name).write_bytes(content)
    done = run("interview", "--answers", str(tmp_path / name), "--json")
    assert done.returncode == 2
    assert done.stdout == b""
    lines = done.stderr.decode().splitlines()
    assert len(lines) == 1 and words in lines[0], lines
    assert b"\x1b" not in done.stderr


def test_missing_files_folders_and_huge_files_are_refused_alike(tmp_path: Path) -> None:
    """100 MB is not read whole; a folder and a missing file are named as such."""
    huge = tmp_path / "huge.yaml"
    with huge.open("wb") as stream:
        stream.truncate(100 * 1024 * 1024)
    for path, words in ((huge, "larger than"), (tmp_path, "folder"), (tmp_path / "none.yaml", "no such file")):
        done = run("interview", "--answers", str(path), "--json")
        assert (done.returncode, done.stdout) == (2, b"")
        assert words in done.stderr.decode() and done.stderr.count(b"\n") == 1


def test_answers_come_from_standard_input_too() -> None:
    """FILE - reads standard input."""
    done = run("interview", "--answers", "-", "--json", stdin=b"float_in_water: floats\n")
    assert done.returncode == 0
    assert json.loads(done.stdout)["answered"] == {"float_in_water": "floats"}


def test_a_wrong_command_or_option_is_one_hint_and_exit_code_2() -> None:
    """Did-you-mean for commands; argparse for options; --json without answers says why not."""
    done = run("intervew")
    assert done.returncode == 2 and b"did you mean 'interview'?" in done.stderr
    assert run("interview", "--target", "name").returncode == 2
    done = run("interview", "--json")
    assert done.returncode == 2 and b"--answers" in done.stderr


def test_free_words_for_the_part_are_understood_and_said(tmp_path: Path) -> None:
    """The result tells how the words were understood, and that an unsure match counts the safe way."""
    part = result_of("part: old fuel tank\nanswers: {float_in_water: floats}", tmp_path)
    assert part["part"]["kind"] and part["part"]["text"] == "old fuel tank"
    assert part["gate"]["state"] == "shut" and part["next"] is None
    nonsense = result_of("part: xyzzy\nanswers: {float_in_water: floats}", tmp_path)
    assert nonsense["part"]["sure"] == "not_understood" and nonsense["gate"]["state"] == "not_known"


def test_a_piped_interview_runs_in_plain_lines() -> None:
    """Without a terminal the same interview takes lines and writes no escape sequence."""
    done = run("interview", stdin=b"grille\n\n1\n1\nd\nq\n")
    assert done.returncode == 0
    assert b"Where this ends" in done.stdout and b"\x1b" not in done.stdout


def test_a_closed_pipe_is_no_traceback() -> None:
    """`whichresin ... | head -1` must not fail loudly."""
    command = f"{sys.executable} -m whichresin --help | head -1"
    done = subprocess.run(["bash", "-c", command], capture_output=True, check=False, timeout=60)
    assert done.stderr == b""
