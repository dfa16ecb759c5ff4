"""The one place that touches the YAML parser: its events, and its complaints put into plain sentences."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import yaml

from whichresin.vocabulary.text import escaped

from .problems import Problem

YAML_ERRORS = (yaml.YAMLError, RecursionError, ValueError, UnicodeError)

# The parser's own words for a fault -> ours. First hit wins.
_PLAIN = (
    ("block scalar", "'>' or '|' starts a block of text here", "put the marking in quotes"),
    ("cannot start any token", "this character cannot start a value", "put the text in quotes"),
    ("found undefined alias", "'*' names an anchor that is not set", "put the text in quotes"),
    ("while scanning an alias", "'*' starts an alias", "put the text in quotes"),
    ("while scanning an anchor", "'&' starts an anchor", "put the text in quotes"),
    ("while scanning a quoted scalar", "this quoted text is not closed, or holds a wrong \\ escape", ""),
    ("flow sequence", "the list that starts here with [ is not closed, or lacks a comma", ""),
    ("flow mapping", "the mapping that starts here with { is not closed, or lacks a comma", ""),
    ("did not find expected key", "this line is not indented like its neighbours", ""),
    ("block mapping", "this line is not indented like its neighbours", ""),
    ("block collection", "this line is not indented like its neighbours", ""),
    ("could not find expected ':'", "a key without ': ' after it", ""),
)
_OPENED = ("block scalar", "quoted scalar", "flow sequence", "flow mapping")


def events(text: str) -> Iterator[Any]:
    """The parser's events for a text; raises one of YAML_ERRORS."""
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)(text)
    try:
        yield from iter(loader.get_event, None)
    finally:
        loader.dispose()


def problem_of(error: Exception, file: str, text: str) -> Problem:
    """Where the parser stopped and why, in plain words."""
    context, problem = (str(getattr(error, name, None) or "") for name in ("context", "problem"))
    marks = [getattr(error, name, None) for name in ("problem_mark", "context_mark")]
    if any(word in context for word in _OPENED):
        marks.reverse()  # where it was opened helps more than where the file ends
    mark = next((one for one in marks if one is not None), None)
    line, column = (mark.line + 1, mark.column + 1) if mark is not None else (0, 0)
    said = f"{context} {problem}".strip()
    lines = text.split("\n")
    here = lines[line - 1] if 0 < line <= len(lines) else ""
    if "maximum nesting depth" in said:  # the fast parser gives up by itself far beyond our own limit
        return Problem(file, line, column, "error", "too-deep", "this is nested far too deep")
    if here[column - 1 : column] == "\t" or here[:column].strip(" ").startswith("\t"):
        sentence, hint = "a tab stands here", "use spaces to indent"
    elif "mapping values are not allowed" in said:
        sentence, hint = "this line is not indented like its neighbours", ""
        if f"{here} ".count(": ") > 1:
            sentence, hint = "a second ': ' stands on this line", "put the text in quotes"
    else:
        sentence, hint = next(
            ((ours, hint) for theirs, ours, hint in _PLAIN if theirs in said),
            (f"this is not YAML ({escaped(said or str(error))[:80]})", ""),
        )
    return Problem(file, line, column, "error", "not-yaml", sentence, hint)
