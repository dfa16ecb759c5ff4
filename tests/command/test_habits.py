"""The habits of the shell: help with examples, one sentence for what is not understood, exit codes."""

from __future__ import annotations

import shlex
from importlib import import_module
from pathlib import Path

import pytest

from whichresin.command.examples import EXAMPLES
from whichresin.command.main import COMMANDS, run
from whichresin.command.options import KINDS, Options
from whichresin.command.output import BadInput


def options_of(command: str) -> Options:
    module = import_module(COMMANDS[command][0])
    assert hasattr(module, "parser"), f"{command}: give the module a function parser() that returns its Options"
    found: Options = module.parser()
    return found


@pytest.mark.parametrize("command", COMMANDS)
def test_help_tells_what_it_is_for_with_examples(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit code 0; what the command does; at least one example."""
    with pytest.raises(SystemExit) as left:
        run([command, "--help"])
    assert left.value.code == 0
    said = capsys.readouterr().out
    assert f"whichresin {command}" in said and "\nexamples:\n  whichresin " in said
    assert options_of(command).description


@pytest.mark.parametrize("line", [line for lines in EXAMPLES.values() for line, _ in lines])
def test_every_example_is_understood(line: str) -> None:
    """An example that the command no longer takes misleads whoever types it."""
    command, *args = shlex.split(line.partition(" > ")[0])
    assert line in [one for one, _ in EXAMPLES[command]]
    options_of(command).parse_args(args)


def test_every_value_has_a_kind() -> None:
    """A shell offers files where files are meant; a new kind of value has to say what it is."""
    for command in COMMANDS:
        for action in options_of(command)._actions:
            names = action.metavar if isinstance(action.metavar, tuple) else (action.metavar,)
            odd = [name for name in names if name and not action.choices and name not in KINDS]
            assert not odd, f"{command}: say in command/options.py what {odd} stands for"


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["intreview"], "there is no command 'intreview'; did you mean 'interview'?"),
        (["interview", "--answres", "x"], "has no option '--answres'; did you mean '--answers'?"),
        (["interview", "--target", "desicion"], "'desicion' is not a value of --target; did you mean 'decision'?"),
        (["interview", "--answer", "hot_needel=x", "--json"], "no cue 'hot_needel'; did you mean 'hot_needle'?"),
        (["interview", "--answer", "grind=smear", "--json"], "not an answer to grind; did you mean 'smears'?"),
        (["interview", "--answer", "grind", "--json"], "'grind' has no value; write grind=VALUE"),
        (["decode", "PP", "--top", "x"], "--top wants a whole number, not 'x'"),
        (["replay"], "whichresin replay wants PATH"),
        (["trace", "a.yaml", "b.yaml"], "'b.yaml' is one word too many"),
        (["interview", "--answers"], "--answers wants a value after it"),
        (["interviews", "\x1b[31m"], "'\\x1b[31m' is one word too many"),
    ],
)
def test_what_is_not_understood_is_one_sentence(
    args: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """What, and what instead, on standard error alone; exit code 2."""
    assert run(args) == 2
    said = capsys.readouterr()
    assert words in said.err and said.err.count("\n") == 1 and said.out == ""


@pytest.mark.parametrize("command", COMMANDS)
def test_no_command_takes_an_unknown_option(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The same sentence everywhere, and never a traceback or a usage text."""
    assert run([command, "--no-such-option"]) == 2
    said = capsys.readouterr()
    assert said.err.count("\n") == 1 and "'--no-such-option'" in said.err and said.out == ""


def test_an_error_of_the_options_is_a_value() -> None:
    """Nothing is printed inside: whoever calls decides what to do with the sentence."""
    with pytest.raises(BadInput, match="--help' tells more"):
        options_of("replay").parse_args([])


DONE = [
    "--version", "--help", "interviews --help", "help gate", "help topics", "help cues", "help hot_needle",
    "help check", "help --codes", "config", "config --path", "completion fish", "decode PP", "failure", "words cues",
    "weigh --dry 5.02 --wet 0.62", "liquid --density 1.10", "interview --answer grind=powder --json",
]  # fmt: skip
NO = ["decode 4711-2", "interviews", "resume", "check nowhere", "shelf nowhere"]
BAD = [
    "", "nothing", "help no-such-topic", "summary 1", "replay nowhere.yaml", "trace nowhere.yaml", "completion tcsh",
    "interview --json", "interview --answers nowhere.yaml", "compare nowhere shipped", "weigh",
    "liquid --density heavy", "plan --answers nowhere.yaml", "learn nowhere.json", "run nowhere.json",
    "failure no such pattern at all xyz", "simulate --interviews 0", "resume x",
]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "code"), [*((line, 0) for line in DONE), *((line, 1) for line in NO), *((line, 2) for line in BAD)]
)
def test_exit_codes(
    line: str, code: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """0 done; 1 understood, and the answer is no; 2 bad input, with one sentence on standard error and nothing else."""
    monkeypatch.setenv("WHICHRESIN_DATA", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    try:
        found = run(shlex.split(line))
    except SystemExit as left:
        found = left.code if isinstance(left.code, int) else 2
    said = capsys.readouterr()
    assert found == code, said.err
    if code == 2 and line:
        assert said.out == "" and said.err.count("\n") == 1 and said.err.startswith("whichresin: ")
    if code == 0:
        assert said.out


def test_every_command_has_its_exit_codes_tested() -> None:
    """A new command brings a line of its own."""
    tried = {line.split()[0] for line in [*DONE, *NO, *BAD] if line}
    assert set(COMMANDS) - tried <= {"new", "coverage", "drill", "jobs", "sheet"}, "tested in their own files"
