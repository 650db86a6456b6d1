"""`yieldopt plan`: which part comes from which board, and where."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from yieldopt.commands.options import DAY

if TYPE_CHECKING:
    from yieldopt.ground.deadline import Deadline
    from yieldopt.planned.running import Searching

HELP = "plan a job: which part comes from which board, and where"

SECONDS = 20.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", type=Path, help="the job folder")
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="where to write plan.json and job/")
    parser.add_argument("--rack", metavar="FILE", help="take the boards from this rack, and hold those that the plan cuts")
    parser.add_argument("--seconds", type=float, metavar="S", help="how long it may take (default: 20; with --steps a day)")
    parser.add_argument("--steps", type=int, metavar="N", help="steps of the search: the same plan on any machine")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another number tries another search (default: 0)")
    parser.add_argument(
        "--until-gap", metavar="P", default="0%", help="stop once the proven gap is no more, e.g. 2%% (default: 0%%)"
    )
    parser.add_argument("--workers", type=int, metavar="N", help="how many share the work (default: one a core)")
    parser.add_argument("--threads", action="store_true", help="share the work among threads instead of processes")
    parser.add_argument("--cluster", metavar="ADDRESS", help="let the workers of this dask scheduler do the work")
    parser.add_argument("--quiet", action="store_true", help="don't show progress")


def run(args: argparse.Namespace) -> int:
    """Plan, check, write; 0: all placed, 3: some parts unplaced, 4: our own check refused the plan."""
    from yieldopt.ground.deadline import Deadline

    began = Deadline(DAY)
    from yieldopt.commands.remarks import say_remarks
    from yieldopt.ground.files import write_all_atomically
    from yieldopt.planned.checked import files_of
    from yieldopt.planned.whole import planned_whole, told

    how, deadline = _how(args, began)
    whole = planned_whole(args.job, args.rack, how, deadline)
    say_remarks(whole.job)
    write_all_atomically(args.out, files_of(whole.job, whole.plan))
    print("\n".join(told(whole, args.out / "plan.json")))
    return 0 if whole.plan.complete else 3


def _how(args: argparse.Namespace, began: Deadline) -> tuple[Searching, Deadline]:
    """How to search, and the time of the whole command, which `began` a while ago."""
    from yieldopt.commands.options import at_least, checked_seconds, command_clock
    from yieldopt.commands.progress import Printer
    from yieldopt.planned.running import Searching, share
    from yieldopt.workers.executors import Workers

    seconds = checked_seconds(args.seconds if args.seconds is not None else SECONDS if args.steps is None else DAY)
    steps, workers = at_least("--steps", args.steps, 1), at_least("--workers", args.workers, 1)
    deadline = command_clock(args, seconds, began.elapsed)
    shared = Workers(workers, False if args.threads else None, args.cluster)
    observer = None if args.quiet else Printer()
    return Searching(seconds, args.seed, share(args.until_gap), observer, shared, steps, deadline), deadline
