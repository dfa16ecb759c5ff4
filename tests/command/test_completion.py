"""Completion scripts under the real shells: what is offered is what the commands take, and nothing is started."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from whichresin.command import shells
from whichresin.command.main import COMMANDS, run
from whichresin.command.offered import Offered, offered
from whichresin.knowledge.model import Model

BASH = shutil.which("bash")
# Puts a command line the way bash does before it asks for completion: '=' is a word of its own.
ASK = """
source {script}
complete_it() {{
    COMP_WORDS=("$@"); COMP_CWORD=$((${{#COMP_WORDS[@]}} - 1)); COMP_LINE="$*"; COMP_POINT=${{#COMP_LINE}}
    compopt() {{ :; }}
    _whichresin
    printf '%s\\n' "${{COMPREPLY[@]}}"
}}
PATH=
complete_it {words}
"""


@pytest.fixture(scope="module")
def table(shipped: Model) -> Offered:
    return offered(shipped)


@pytest.fixture(scope="module")
def script(table: Offered, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("shell") / "whichresin.bash"
    path.write_text(shells.bash(table), encoding="utf-8")
    return path


def ask(script: Path, words: str, folder: Path | None = None) -> list[str]:
    done = subprocess.run(
        [str(BASH), "--norc", "-c", ASK.format(script=script, words=words)],
        capture_output=True, text=True, check=False, timeout=30, cwd=folder,
    )  # fmt: skip
    assert done.stderr == ""
    return done.stdout.split()


@pytest.mark.skipif(BASH is None, reason="no bash on this machine")
@pytest.mark.parametrize(
    ("words", "offers"),
    [
        ("whichresin int", ["interview", "interviews"]),
        ("whichresin interview --targ", ["--target"]),
        ("whichresin interview --target ''", ["decision", "polymer"]),
        ("whichresin interview --target = p", ["polymer"]),
        ("whichresin interview --target=p", ["--target=polymer"]),
        ("whichresin interview --answer float_in", ["float_in_water="]),
        ("whichresin interview --answer float_in_water =", ["floats", "sinks", "neutral"]),
        ("whichresin interview --answer float_in_water = si", ["sinks"]),
        ("whichresin interview --answer float_in_water=si", ["float_in_water=sinks"]),
        ("whichresin help hot", ["hot_needle"]),
        ("whichresin completion ''", ["bash", "zsh", "fish"]),
        ("whichresin decode --js", ["--json"]),
        ("whichresin liquid --density ''", []),
    ],
)
def test_bash_offers(script: Path, words: str, offers: list[str]) -> None:
    """Real bash, with no program to be found on its path: nothing but the script itself can answer."""
    assert ask(script, words) == offers


@pytest.mark.skipif(BASH is None, reason="no bash on this machine")
def test_bash_offers_files_and_folders(script: Path, tmp_path: Path) -> None:
    """Where a file is meant, files; where a folder is meant, only folders."""
    (tmp_path / "part.yaml").touch()
    (tmp_path / "pack").mkdir()
    assert sorted(ask(script, "whichresin interview --answers pa", tmp_path)) == ["pack", "part.yaml"]
    assert ask(script, "whichresin interview --knowledge pa", tmp_path) == ["pack"]
    assert sorted(ask(script, "whichresin replay pa", tmp_path)) == ["pack", "part.yaml"]


@pytest.mark.skipif(BASH is None, reason="no bash on this machine")
def test_bash_offers_every_option_of_every_command(script: Path, table: Offered) -> None:
    """The script is made of the parsers themselves, so no option can be missing."""
    lines = "\n".join(f"complete_it whichresin {command} -; echo ." for command in COMMANDS)
    done = subprocess.run(
        [str(BASH), "--norc", "-c", ASK.format(script=script, words="whichresin ''") + lines],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    commands, *found = [part.split() for part in done.stdout.split("\n.\n")[0:1]] + [
        part.split() for part in done.stdout.split("\n.\n")[1:]
    ]
    assert set(COMMANDS) <= set(commands)
    told = dict(zip(list(COMMANDS)[1:], found, strict=False))
    for command, words in told.items():
        assert words == [flag for option in table.options[command] for flag in option.flags]


@pytest.mark.parametrize("shell", ["zsh", "fish"])
def test_the_other_shells_accept_their_script(
    shell: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Commands, options and answers are in it; read by the shell itself where the machine has it."""
    assert run(["completion", shell]) == 0
    text = capsys.readouterr().out
    for word in (*COMMANDS, "float_in_water", "sinks", "decision", "exit-codes"):
        assert word in text
    if shutil.which(shell):
        path = tmp_path / f"script.{shell}"
        path.write_text(text, encoding="utf-8")
        done = subprocess.run([shell, "-n", str(path)], capture_output=True, check=False, timeout=60)
        assert (done.returncode, done.stderr) == (0, b"")


def test_an_unknown_shell_is_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    """What is known, and what was perhaps meant."""
    assert run(["completion", "bahs"]) == 2
    assert "did you mean 'bash'?" in capsys.readouterr().err
