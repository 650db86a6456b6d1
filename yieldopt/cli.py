"""The command line: finds the command, runs it, turns errors a user can mend into a message and an exit status."""

from __future__ import annotations

import argparse
import importlib
import sys
from collections.abc import Sequence

from yieldopt import __version__
from yieldopt.errors import InputError, YieldoptError

# Each is a module of `yieldopt.commands` with HELP, add_arguments(parser) and run(args) -> exit status. They import
# nothing heavy at their top, so that `yieldopt --help` stays quick; a test insists.
COMMANDS: tuple[str, ...] = (
    "plan",
    "replan",
    "size",
    "check",
    "chalk",
    "demo",
    "tally",
    "source",
    "movement",
    "wood",
    "rack",
    "serve",
)


def parser() -> argparse.ArgumentParser:
    """The whole argument parser, with every command."""
    top = argparse.ArgumentParser(
        prog="yieldopt", description="From measured rough boards and a list of parts to marked, cut and milled blanks."
    )
    top.add_argument("--version", action="version", version=f"yieldopt {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in COMMANDS:
        module = importlib.import_module(f"yieldopt.commands.{name}")
        sub = commands.add_parser(name, help=module.HELP, description=module.HELP)
        module.add_arguments(sub)
        sub.set_defaults(run=module.run)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit status (2: bad input, 4: our own check failed, 130: stopped by Ctrl-C)."""
    args = parser().parse_args(argv)
    try:
        status: int = args.run(args)
        return status
    except InputError as error:
        count = len(error.problems)
        print(f"{count} mistake{'s' if count != 1 else ''} in the input; nothing was written:", file=sys.stderr)
        for problem in error.problems:
            print(f"  {problem}", file=sys.stderr)
        return error.exit_status
    except YieldoptError as error:
        print(f"yieldopt: {error}", file=sys.stderr)
        return error.exit_status
    except OSError as error:
        print(f"yieldopt: {error.strerror or error}{f': {error.filename}' if error.filename else ''}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("yieldopt: stopped; nothing was written", file=sys.stderr)
        return 130


if __name__ == "__main__":
    sys.exit(main())
