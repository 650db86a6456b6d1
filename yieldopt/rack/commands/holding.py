"""`rack hold`, `rack release`: boards kept for a job."""

from __future__ import annotations

import argparse

from yieldopt.ground.counted import counted
from yieldopt.rack.commands import Command, opened, rack_option

DAY = 24 * 3600


def _hold_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="the job's name")
    parser.add_argument("boards", nargs="+", metavar="BOARD", help="names of boards; all are held, or none")
    rack_option(parser)
    parser.add_argument("--days", type=int, default=90, help="how long the hold lasts (90 if not given)")


def _hold(args: argparse.Namespace) -> int:
    from yieldopt.ground.errors import UsageError
    from yieldopt.reading.cells import unprintable

    if not 1 <= args.days <= 3650:
        raise UsageError(f"--days: found {args.days}, expected 1 to 3650")
    if not args.job.strip() or len(args.job) > 200 or unprintable(args.job):
        raise UsageError("the job's name: expected at most 200 printable characters")
    with opened(args) as rack:
        held = rack.hold(args.job, args.boards, seconds=args.days * DAY)
    print(f"{counted(len(held), 'board')} held for {args.job}")
    return 0


def _release_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("boards", nargs="*", metavar="BOARD", help="names of boards; all of the job's if none is named")
    rack_option(parser)
    parser.add_argument("--job", metavar="JOB", help="only what is held for this job")


def _release(args: argparse.Namespace) -> int:
    from yieldopt.ground.errors import UsageError

    if not args.boards and args.job is None:
        raise UsageError("name the boards to release, or a job with --job")
    with opened(args) as rack:
        names = rack.release(job=args.job, names=args.boards or None)
    print(f"released: {', '.join(names)}" if names else "nothing was held")
    return 0


COMMANDS = (
    Command("hold", "keep boards for a job", _hold_arguments, _hold),
    Command("release", "end holds", _release_arguments, _release),
)
