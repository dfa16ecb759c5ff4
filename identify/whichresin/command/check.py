"""`whichresin check [PATH...]`: every problem of the knowledge, and every example that fails."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from . import output


def run(args: Sequence[str]) -> int:
    """Run the command; 1 when there was an error."""
    import argparse

    parser = argparse.ArgumentParser(
        prog="whichresin check",
        description="Check knowledge files and run their examples. Without PATH: the shipped knowledge. A PATH inside "
        "it narrows the report; any other folder or file is laid over it.",
    )
    parser.add_argument("paths", nargs="*", metavar="PATH")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    options = parser.parse_args(args)
    from whichresin.training.check import check

    checked = check(options.paths)
    if options.json:
        fields = ("file", "line", "column", "level", "code", "sentence", "hint")
        problems = [{name: getattr(problem, name) for name in fields} for problem in checked.problems]
        output.say_json({"schema": 1, "problems": problems})
    else:
        sys.stdout.writelines(f"{problem}\n" for problem in checked.problems)
        errors = sum(problem.level == "error" for problem in checked.problems)
        others = len(checked.problems) - errors
        sys.stdout.write(f"{errors} errors, {others} other remarks\n")
    return output.NEGATIVE if checked.has_errors else output.DONE
