"""The options of a command: help with examples, and one clear sentence for what is not understood."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NoReturn

from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed, nearest

from .examples import EXAMPLES
from .output import BadInput

FILE, FOLDER, FREE, ANSWER, TOPIC, WORDS = "file", "folder", "free", "answer", "topic", "words"
# What a value is, by the name that help gives it; `tests/command/test_habits.py` holds that every name is here.
KINDS = {
    "FILE": FILE, "NEW": FILE, "ANSWERS": FILE, "FILE.svg": FILE, "INTERVIEW": FILE, "PATH": FILE,
    "DIR": FOLDER, "FOLDER": FOLDER, "OLD": FOLDER,
    "ID": FREE, "N": FREE, "S": FREE, "C": FREE, "D": FREE, "G": FREE, "T": FREE, "WORDS": FREE, "TEXT": FREE,
    "LIST": FREE, "NUMBER": FREE, "LINE": FREE, "DATE": FREE, "PATTERN": FREE, "CM3": FREE, "NAME": FREE,
    "PERCENT": FREE, "A": FREE, "B": FREE, "NAME=NUMBER": FREE, "KIND": FREE, "MINUTES": FREE, "J": FREE,
    "PART": FREE, "SIZES": FREE, "MATERIAL": FREE, "MM": FREE, "SHEET": FILE,
    "CUE=VALUE": ANSWER, "TOPIC": TOPIC,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Option:
    """One option or argument as a shell may offer it. `flags` is empty for an argument without a name."""

    flags: tuple[str, ...]
    kind: str  # "" takes no value; else file, folder, free, answer, topic or words
    words: tuple[str, ...]
    help: str


class Options(argparse.ArgumentParser):
    """An argument parser that shows the examples of its command and says in one sentence what is wrong."""

    def parse_args(self, args: Sequence[str] | None = None, namespace: Any = None) -> Any:  # type: ignore[override]
        """As usual; an option that does not exist is told before what is missing."""
        flags = [flag for option in described(self) for flag in option.flags]
        for word in args or ():
            if word == "--":
                break
            if word.startswith("--") and not any(flag.startswith(word.partition("=")[0]) for flag in flags):
                self.error(f"unrecognized arguments: {word}")
        found = super().parse_args(args, namespace)
        _apply_settings(found)
        return found

    def error(self, message: str) -> NoReturn:
        """Raise BadInput with the sentence; nothing is printed and nothing exits here."""
        raise BadInput(f"{self._sentence(message)}; '{self.prog} --help' tells more")

    def format_help(self) -> str:
        """The usual help, and the examples under it."""
        lines = [f"  whichresin {line}\n      {said}" for line, said in EXAMPLES.get(self.command, ())]
        return super().format_help() + ("\nexamples:\n" + "\n".join(lines) + "\n" if lines else "")

    @property
    def command(self) -> str:
        """The name of the command."""
        return self.prog.removeprefix("whichresin ")

    def _sentence(self, message: str) -> str:
        flags = [flag for action in self._actions for flag in action.option_strings]
        if found := re.fullmatch(r"unrecognized arguments: (.*)", message, re.S):
            words = found.group(1).split()
            odd = next((word for word in words if word.startswith("-")), words[0] if words else "")
            if not odd.startswith("-"):
                return f"{shown(odd)} is one word too many for {self.prog}"
            near = nearest(odd.partition("=")[0], flags)
            return f"{self.prog} has no option {shown(odd)}" + (f"; did you mean {shown(near)}?" if near else "")
        if found := re.fullmatch(r"argument (\S+): invalid choice: '(.*)' \(choose from (.*)\)", message, re.S):
            name, odd, known = found.groups()
            words = re.findall(r"'([^']*)'", known)
            near = nearest(odd, words)
            hint = f"did you mean {shown(near)}?" if near else f"use one of {listed(words, 20)}"
            return f"{shown(odd)} is not a value of {name}; {hint}"
        if found := re.fullmatch(r"argument (\S+): invalid (int|float) value: '(.*)'", message, re.S):
            name, kind, odd = found.groups()
            return f"{name} wants a {'whole number' if kind == 'int' else 'number'}, not {shown(odd)}"
        if found := re.fullmatch(r"the following arguments are required: (.*)", message):
            return f"{self.prog} wants {found.group(1)}"
        if found := re.fullmatch(r"one of the arguments (.*) is required", message):
            return f"{self.prog} wants {' or '.join(found.group(1).split())}"
        if found := re.fullmatch(r"argument (\S+): expected (?:one|at least one) argument", message):
            return f"{found.group(1)} wants a value after it"
        return message


def _apply_settings(found: argparse.Namespace) -> None:
    """Put what the settings file says where nothing was typed. Commands that take no such option never read it."""
    named = vars(found)
    if not {"knowledge", "temperature", "celsius", "plain"} & named.keys():
        return
    from .settings import celsius, load_config

    config = load_config()
    if isinstance(named.get("knowledge"), list):
        named["knowledge"] = [*config.knowledge, *named["knowledge"]]
    for name in ("temperature", "celsius"):
        if isinstance(named.get(name), str):
            named[name] = celsius(named[name], config)
    if "plain" in named:
        named["plain"] = named["plain"] or config.mode == "plain"
    if "tutor" in named and named["tutor"] is None:
        named["tutor"] = config.tutor
    named["settings"] = config


def described(parser: argparse.ArgumentParser) -> tuple[Option, ...]:
    """Every option and argument, in the order of the help; then the options of the words that a command takes."""
    own = [_option(action) for action in parser._actions]
    below = [option for action in parser._actions for option in _below(action)]
    return (*own, *(option for option in dict.fromkeys(below) if option.flags and option.flags != ("-h", "--help")))


def _below(action: argparse.Action) -> tuple[Option, ...]:
    """The options of the parsers under a choice of words, such as those of `whichresin jobs add`."""
    parsers = action.choices.values() if isinstance(action.choices, dict) else ()
    return tuple(option for one in parsers if isinstance(one, argparse.ArgumentParser) for option in described(one))


def _option(action: argparse.Action) -> Option:
    words = tuple(map(str, action.choices or ()))
    name = action.metavar if isinstance(action.metavar, str) else (action.metavar or ("",))[0]
    takes = action.nargs != 0
    kind = "" if not takes else WORDS if words else KINDS.get(name or "", FREE)
    return Option(tuple(action.option_strings), kind, words, action.help or "")
