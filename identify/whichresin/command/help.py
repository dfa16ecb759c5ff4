"""`whichresin help [CODE]`: what a finding of the check means and what to do, with a wrong and a right example."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import asdict

from . import output


def run(args: Sequence[str]) -> int:
    """Run the command."""
    import argparse

    parser = argparse.ArgumentParser(
        prog="whichresin help",
        description="Explain a code that stands in brackets at the end of a line of `whichresin check`, or with "
        "--codes list them all.",
    )
    parser.add_argument("code", nargs="?", metavar="CODE")
    parser.add_argument("--codes", action="store_true", help="list every code with its meaning in one line")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    options = parser.parse_args(args)
    from whichresin.training.pages import manual

    pages = manual().pages
    if options.code is None:  # --codes
        if options.json:
            output.say_json({"schema": 1, "pages": [asdict(page) for page in pages.values()]})
            return output.DONE
        width = max(len(code) for code in pages)
        sys.stdout.writelines(f"{code:<{width}}  {page.title}\n" for code, page in pages.items())
        return output.DONE
    code = options.code.strip("[]")
    if code not in pages:
        from whichresin.knowledge.problems import did_you_mean
        from whichresin.vocabulary.text import shown

        hint = did_you_mean(code, pages) or "`whichresin help --codes` lists them."
        raise output.BadInput(f"there is no code {shown(code)}; {hint}")
    if options.json:
        output.say_json({"schema": 1, **asdict(pages[code])})
    else:
        sys.stdout.write(pages[code].text())
    return output.DONE
