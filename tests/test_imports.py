"""Imports go one way only: each room may import itself and the rooms that this table names (DEVELOPERS.md)."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "identify" / "whichresin"

MAY_IMPORT: dict[str, set[str]] = {
    "vocabulary": set(),
    "records": set(),
    "engine": set(),
    "physics": {"vocabulary"},
    "knowledge": {"vocabulary", "engine", "physics"},
    "marking": {"vocabulary", "knowledge"},
    "belief": {"vocabulary", "knowledge", "physics"},
    "repair": {"vocabulary", "engine", "physics", "knowledge", "belief"},
    "session": {"vocabulary", "engine", "physics", "knowledge", "marking", "belief", "repair"},
    "training": {
        "vocabulary", "engine", "physics", "knowledge", "marking", "belief", "repair", "session",
    },
    "terminal": {"vocabulary", "knowledge", "session", "repair"},
    "summary": {"vocabulary", "knowledge", "session", "terminal"},
}  # fmt: skip
# The command line may import every room; these of its modules must stay light at import.
ROOMS = sorted(path.name for path in PACKAGE.iterdir() if (path / "__init__.py").exists())


def _imported_rooms(path: Path) -> set[str]:
    """Rooms of this package that a file imports anywhere in it, relative imports resolved."""
    room = path.relative_to(PACKAGE).parts[0]
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                package = ["whichresin", *path.relative_to(PACKAGE).parts[:-1]]
                base = ".".join([*package[: len(package) - node.level + 1], *filter(None, [base])])
            names = [base, *(f"{base}.{alias.name}" for alias in node.names)] if base == "whichresin" else [base]
        else:
            continue
        for name in names:
            parts = name.split(".")
            if parts[0] == "whichresin" and len(parts) > 1 and (PACKAGE / parts[1]).is_dir():
                found.add(parts[1])
    return found - {room}


@pytest.mark.parametrize("room", [room for room in ROOMS if room != "command"])
def test_room_imports_only_rooms_above_it(room: str) -> None:
    """A room that imports against the direction ties the pieces into a knot that nobody can take apart."""
    for path in sorted((PACKAGE / room).rglob("*.py")):
        beyond = _imported_rooms(path) - MAY_IMPORT[room]
        assert not beyond, f"{path.relative_to(PACKAGE)} imports {sorted(beyond)}; {room} may import {MAY_IMPORT[room]}"


def test_every_room_is_in_the_table() -> None:
    """A new room must be given its place, or the table protects nothing."""
    assert set(ROOMS) == {*MAY_IMPORT, "command"}


@pytest.mark.parametrize("args", [["decode", "--help"], ["check", "--help"], ["--version"]])
def test_commands_without_a_dialogue_never_load_the_terminal_library(args: list[str]) -> None:
    """Loading prompt_toolkit costs more than most commands take; scripts must not pay for it."""
    code = (
        "import sys; from whichresin.command.main import run\n"
        f"try: run({args!r})\nexcept SystemExit: pass\n"
        "sys.exit(any(m.split('.')[0] == 'prompt_toolkit' for m in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, check=False).returncode == 0
