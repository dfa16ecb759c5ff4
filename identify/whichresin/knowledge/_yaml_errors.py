"""The one place that touches the YAML parser: its events, and its complaints put into plain sentences."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import yaml

from whichresin.vocabulary.text import shown

from .problems import Problem

YAML_ERRORS = (yaml.YAMLError, RecursionError, ValueError, UnicodeError)

# The parser's own words for a fault -> ours. First hit wins.
_PLAIN = (
    ("block scalar", "'>' or '|' starts a block of text here", "put the marking in quotes"),
    ("mapping values are not allowed", "a second ': ' stands on this line", "put the text in quotes"),
    ("cannot start any token", "this character cannot start a value", "put the text in quotes"),
    ("found undefined alias", "'*' names an anchor that is not set", "put the text in quotes"),
    ("while scanning an alias", "'*' starts an alias", "put the text in quotes"),
    ("while scanning an anchor", "'&' starts an anchor", "put the text in quotes"),
    ("unexpected end of stream", "a quote or bracket is opened and never closed", ""),
    ("while scanning a quoted scalar", "this quoted text is not closed where it should be", ""),
    ("flow sequence", "a list in [ ] is not closed, or a comma is missing", ""),
    ("flow mapping", "a mapping in { } is not closed, or a comma is missing", ""),
    ("did not find expected key", "this line is not indented like its neighbours", ""),
    ("block mapping", "this line is not indented like its neighbours", ""),
    ("block collection", "this line is not indented like its neighbours", ""),
    ("could not find expected ':'", "a key without ': ' after it", ""),
)


def events(text: str) -> Iterator[Any]:
    """The parser's events for a text; raises one of YAML_ERRORS."""
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    yield from yaml.parse(text, Loader=loader)


def problem_of(error: Exception, file: str, text: str) -> Problem:
    """Where the parser stopped and why, in plain words."""
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    line, column = (mark.line + 1, mark.column + 1) if mark is not None else (0, 0)
    said = " ".join(
        str(part) for part in (getattr(error, "context", ""), getattr(error, "problem", "")) if part
    )
    lines = text.split("\n")
    here = lines[line - 1] if 0 < line <= len(lines) else ""
    if here[column - 1 : column] == "\t" or here[:column].strip(" ").startswith("\t"):
        sentence, hint = "a tab stands here", "use spaces to indent"
    else:
        sentence, hint = next(
            ((ours, hint) for theirs, ours, hint in _PLAIN if theirs in said),
            (f"this is not YAML ({shown(said or str(error), 80)[1:-1]})", ""),
        )
    return Problem(file, line, column, "error", "not-yaml", sentence, hint)
