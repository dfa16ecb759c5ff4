"""`python -m whichresin` and the console command."""

from __future__ import annotations

import sys


def main() -> int:
    """Run the command line; returns the exit code."""
    from whichresin.command.main import run

    return run(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
