"""`whichresin COMMAND ...`: find the command, call it, turn its errors into one sentence and an exit code."""

from __future__ import annotations

import sys
from importlib import import_module
from typing import cast

from . import output

# Command → (module with `run(args) -> exit code`, one line for the overview). Imported only when called.
COMMANDS = {
    "interview": ("whichresin.command.interview", "find out what a part is made of, question by question"),
    "resume": ("whichresin.command.resume", "go on with an interview that was left in the middle"),
    "interviews": ("whichresin.command.interviews", "list the interviews that were finished"),
    "summary": ("whichresin.command.summary", "one page of a finished interview, as text or as an HTML page"),
    "plan": ("whichresin.command.plan", "what it means for the repair: decision, reasons, steps"),
    "decode": ("whichresin.command.decode", "read a partial or damaged moulded marking"),
    "weigh": ("whichresin.command.weigh", "density of a piece from weights, with its uncertainty"),
    "liquid": ("whichresin.command.liquid", "make a float liquid that tells plastics apart"),
    "shelf": ("whichresin.command.shelf", "the products of the shop: in date, and do they fit this part"),
    "sheet": ("whichresin.command.sheet", "the job sheet for a part: text, a page that prints, or a file to run"),
    "run": ("whichresin.command.run", "work through a job sheet with clocks, hold points and notes"),
    "jobs": ("whichresin.command.jobs", "the record of the jobs: add, show, outcome, export, report"),
    "failure": ("whichresin.command.failure", "from how a repair broke to the cause and the step to change"),
    "check": ("whichresin.command.check", "check knowledge files and run their examples"),
    "help": ("whichresin.command.help", "explain a topic, a test, a command or a finding of the check"),
    "words": ("whichresin.command.words", "list the names that rule files may use, and what each stands for"),
    "new": ("whichresin.command.new", "write a commented starting file for a material, cue, rule or part"),
    "replay": ("whichresin.command.replay", "run recorded interviews again and show what differs"),
    "trace": ("whichresin.command.trace", "show a run over an answers file step by step: rules, evidence, belief"),
    "coverage": ("whichresin.command.coverage", "show what no example exercises and what cannot be told apart"),
    "compare": ("whichresin.command.compare", "show what differs between two folders of knowledge and what it does"),
    "simulate": ("whichresin.command.simulate", "hold many interviews with drawn parts and people, and report"),
    "drill": ("whichresin.command.drill", "practise on hidden parts and cards, judged; or sum up a class"),
    "config": ("whichresin.command.config", "show the settings that hold, and where each comes from"),
    "completion": ("whichresin.command.completion", "completion for bash, zsh or fish"),
    "learn": ("whichresin.command.learn", "propose expectations from answers counted on known plaques"),
}
_USAGE = "usage: whichresin COMMAND [OPTIONS]    (whichresin COMMAND --help tells more)"


def run(args: list[str], greeted: bool = False) -> int:
    """Run one command line without the program's name; returns the exit code.

    `greeted` tells that the opening of the guided interview is on the screen already.
    """
    output.prepare_streams()
    if not args or args[0] in ("-h", "--help") or args == ["help"]:
        sys.stdout.write(overview())
        return output.DONE if args else output.BAD_INPUT
    if args[0] == "--version":
        from whichresin import __version__

        sys.stdout.write(f"whichresin {__version__}\n")
        return output.DONE
    if args[0] not in COMMANDS:
        output.say_error(unknown_command(args[0]))
        return output.BAD_INPUT
    try:
        command = import_module(COMMANDS[args[0]][0])
        return cast(int, command.run(args[1:], greeted) if greeted else command.run(args[1:]))
    except output.BadInput as error:
        output.say_error(str(error))
        return output.BAD_INPUT
    except BrokenPipeError:
        output.abandon_stdout()
        return output.DONE
    except KeyboardInterrupt:
        output.say_error("stopped")
        return 130


def overview() -> str:
    """The list of commands."""
    lines = [_USAGE, ""]
    lines += [f"  {name:<10} {text}" for name, (_, text) in COMMANDS.items()]
    return "\n".join(lines) + "\n"


def unknown_command(word: str) -> str:
    """The sentence for a command that does not exist, with the nearest one that does."""
    from rapidfuzz import process

    near = process.extractOne(word, list(COMMANDS), score_cutoff=60)
    hint = f"did you mean {near[0]!r}?" if near else f"the commands are {', '.join(COMMANDS)}."
    return f"there is no command {word!r}; {hint}"
