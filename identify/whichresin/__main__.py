"""`python -m whichresin` and the console command."""

import os
import sys


def main() -> int:
    """Run the command line; returns the exit code."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # closed before we were started
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_WRONLY), "w"))
    args = sys.argv[1:]
    greeted = False
    if args[:1] == ["interview"]:
        from whichresin.terminal.opening import greet, greets

        if greets(args):
            greet()
            greeted = True
    from whichresin.command.main import run

    return run(args, greeted)


if __name__ == "__main__":
    sys.exit(main())
