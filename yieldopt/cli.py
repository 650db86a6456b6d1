"""The command line: finds the command, runs it, turns errors a user can mend into a message and an exit status."""

from __future__ import annotations

import argparse
import importlib
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from yieldopt import __version__
from yieldopt.commands import Later, add_later
from yieldopt.ground.counted import counted
from yieldopt.ground.deadline import since_start
from yieldopt.ground.errors import InputError, YieldoptError, condensed
from yieldopt.ground.unwritable import refuse_output, sentence

# Each is a module of `yieldopt.commands` with HELP, add_arguments(parser) and run(args) -> exit status. They import
# nothing heavy at their top, so that `yieldopt --help` stays quick; a test insists.
COMMANDS: tuple[str, ...] = (
    "new",
    "plan",
    "replan",
    "history",
    "why",
    "fragile",
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
    "desk",
)

# What a shell reports for a program that wrote into a closed pipe: 128 + SIGPIPE, a name that not every system has.
CLOSED_PIPE = 141


def parser() -> argparse.ArgumentParser:
    """The argument parser with every command; a command's own options are there once it is called (`Later.fill`)."""
    top = argparse.ArgumentParser(
        prog="yieldopt", description="From measured rough boards and a list of parts to marked, cut and milled blanks."
    )
    top.add_argument("--version", action="version", version=f"yieldopt {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True, parser_class=Later)
    for name in COMMANDS:
        module = importlib.import_module(f"yieldopt.commands.{name}")
        add_later(commands, name, module.HELP, module.add_arguments, run=module.run)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit status (2: bad input, 4: our own check failed, 130: stopped by Ctrl-C, 141: nobody
    read the output to its end)."""
    args = parser().parse_args(argv)
    # What starting took counts against `--seconds`; a program that calls this began for reasons of its own.
    args.unseen = since_start() if argv is None else 0.0
    try:
        out = getattr(args, "out", None)
        if isinstance(out, Path):
            # Before the work, not after it. A name with an ending is a file's.
            refuse_output(out.parent if out.suffix in (".pdf", ".svg") and not out.is_dir() else out)
        status: int = args.run(args)
        # Here, where a closed pipe can be told from a fault.
        sys.stdout.flush()
        return status
    except InputError as error:
        count = len(error.problems)
        print(f"{counted(count, 'mistake')} in the input; nothing was written:", file=sys.stderr)
        for line in condensed(error.problems):
            print(f"  {line}", file=sys.stderr)
        return error.exit_status
    except YieldoptError as error:
        print(f"yieldopt: {error}", file=sys.stderr)
        return error.exit_status
    except BrokenPipeError:
        # Whoever read our output (`head`, a pager) has seen enough. Python would complain once more when it flushes at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return CLOSED_PIPE
    except OSError as error:
        print(f"yieldopt: {sentence(error)}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("yieldopt: stopped; nothing was written", file=sys.stderr)
        return 130


if __name__ == "__main__":
    sys.exit(main())
