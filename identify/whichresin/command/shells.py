"""Completion scripts for three shells, from the one table of what is offered. Pure: table in, script out."""

from __future__ import annotations

from .offered import Offered
from .options import ANSWER, FILE, FOLDER, TOPIC, WORDS, Option

_MADE = "# Completion for whichresin; made by 'whichresin completion {shell}'. Make it again after an update.\n"

_BASH = """_whichresin_answers() {{
    case "$1" in
{answers}
    esac
}}
_whichresin() {{
    local cur="${{COMP_WORDS[COMP_CWORD]}}" prev="${{COMP_WORDS[COMP_CWORD-1]}}" before="" words="" key=""
    COMPREPLY=()
    # Where '=' breaks words it stands as a word of its own.
    if [[ $cur == "=" ]]; then key=$prev cur=""
    elif [[ $prev == "=" ]]; then key=${{COMP_WORDS[COMP_CWORD-2]}}
    elif [[ $cur == *=* ]]; then key=${{cur%%=*}} before="$key=" cur=${{cur#*=}}
    fi
    if [[ $key == -* ]]; then prev=$key
    elif [[ -n $key ]]; then
        COMPREPLY=($(compgen -P "$before" -W "$(_whichresin_answers "$key")" -- "$cur"))
        return
    fi
    if ((COMP_CWORD == 1)); then
        COMPREPLY=($(compgen -W "{commands} --help --version" -- "$cur"))
        return
    fi
    case "${{COMP_WORDS[1]}} $prev" in
{values}
    esac
    if [[ $cur == -* ]]; then
        case "${{COMP_WORDS[1]}}" in
{options}
        esac
        COMPREPLY=($(compgen -W "$words" -- "$cur"))
        return
    fi
    case "${{COMP_WORDS[1]}}" in
{arguments}
    esac
}}
complete -F _whichresin whichresin
"""


def bash(table: Offered) -> str:
    """For bash 4 or newer."""
    values, options, arguments = [], [], []
    for command, described in table.options.items():
        for option in described:
            if option.flags and option.kind:
                pattern = "|".join(f'"{command} {flag}"' for flag in option.flags)
                values.append(f"        {pattern}) {_bash_offer(option, table)}; return ;;")
            if not option.flags and option.kind:
                arguments.append(f"        {command}) {_bash_offer(option, table)} ;;")
        words = " ".join(flag for option in described for flag in option.flags)
        options.append(f'            {command}) words="{words}" ;;')
    return _MADE.format(shell="bash") + _BASH.format(
        answers="\n".join(f'        {cue}) echo "{" ".join(a)}" ;;' for cue, a in table.answers.items() if a),
        commands=" ".join(table.about),
        values="\n".join(values),
        options="\n".join(options),
        arguments="\n".join(_first_of_each(arguments)),
    )


def _first_of_each(lines: list[str]) -> list[str]:
    """The first line for each command: its first argument decides what is offered."""
    return list({line.split(")")[0]: line for line in reversed(lines)}.values())[::-1]


def _bash_offer(option: Option, table: Offered) -> str:
    if option.kind == FILE:
        return 'COMPREPLY=($(compgen -P "$before" -f -- "$cur")); compopt -o filenames'
    if option.kind == FOLDER:
        return 'COMPREPLY=($(compgen -P "$before" -d -- "$cur")); compopt -o filenames'
    if option.kind == ANSWER:
        return f'COMPREPLY=($(compgen -P "$before" -S = -W "{" ".join(table.answers)}" -- "$cur")); compopt -o nospace'
    words = {WORDS: option.words, TOPIC: table.topics}.get(option.kind, ())
    return f'COMPREPLY=($(compgen -P "$before" -W "{" ".join(words)}" -- "$cur"))'


_ZSH = """_whichresin_answers() {{
    if compset -P '*='; then
        case "${{IPREFIX%=}}" in
{answers}
        esac
    else
        compadd -S = -- {cues}
    fi
}}
_whichresin() {{
    local -a commands
    commands=(
{commands}
    )
    if ((CURRENT == 2)); then
        _describe command commands
        return
    fi
    local command=$words[2]
    shift words
    ((CURRENT--))
    case $command in
{options}
    esac
}}
if [ "$funcstack[1]" = "_whichresin" ]; then _whichresin "$@"; else compdef _whichresin whichresin; fi
"""


def zsh(table: Offered) -> str:
    """For zsh with its completion system switched on."""
    answers = [f"            *{cue}) compadd -- {' '.join(a)} ;;" for cue, a in table.answers.items() if a]
    options = []
    for command, described in table.options.items():
        specs = " \\\n            ".join(_zsh_spec(option, table) for option in described)
        options.append(f"        {command}) _arguments -s \\\n            {specs} ;;")
    return (
        "#compdef whichresin\n"
        + _MADE.format(shell="zsh")
        + _ZSH.format(
            answers="\n".join(answers),
            cues=" ".join(table.answers),
            commands="\n".join(f"        '{name}:{_plain(about)}'" for name, about in table.about.items()),
            options="\n".join(options),
        )
    )


def _zsh_spec(option: Option, table: Offered) -> str:
    offers = {
        "": "", FILE: ":file:_files", FOLDER: ":folder:_files -/", ANSWER: ":answer:_whichresin_answers",
        WORDS: f":value:({' '.join(option.words)})", TOPIC: f":topic:({' '.join(table.topics)})",
    }  # fmt: skip
    offer = offers.get(option.kind, ":value:")
    if not option.flags:
        return f"'*{offer}'"
    return " ".join(f"'*{flag}[{_plain(option.help)}]{offer}'" for flag in option.flags)


def fish(table: Offered) -> str:
    """For fish 3 or newer."""
    lines = [_MADE.format(shell="fish"), "complete -c whichresin -f"]
    lines += [
        f"complete -c whichresin -n __fish_use_subcommand -a {name} -d '{_plain(about)}'"
        for name, about in table.about.items()
    ]
    for command, described in table.options.items():
        seen = f"complete -c whichresin -n '__fish_seen_subcommand_from {command}'"
        for option in described:
            flags = " ".join(f"-l {flag[2:]}" if flag.startswith("--") else f"-s {flag[1:]}" for flag in option.flags)
            offer = _fish_offer(option, table)
            if flags or offer:
                lines.append(" ".join(filter(None, (seen, flags, offer, f"-d '{_plain(option.help)}'"))))
    return "\n".join(lines) + "\n"


def _fish_offer(option: Option, table: Offered) -> str:
    takes = "-r" if option.flags else ""
    if not option.kind:
        return ""
    if option.kind in (FILE, FOLDER):
        return f"{takes} -F".strip()
    words = {
        WORDS: option.words,
        TOPIC: table.topics,
        ANSWER: [f"{cue}={answer}" for cue, answers in table.answers.items() for answer in answers],
    }.get(option.kind, ())
    return f"{'-x' if option.flags else ''} -a '{' '.join(words)}'".strip() if words else takes


def _plain(text: str) -> str:
    """Help without the signs that a shell would act on."""
    kept = "".join(" " if c in "[]:\\`$\"'" else c for c in text.replace("%%", "%"))
    return " ".join(kept.split())
