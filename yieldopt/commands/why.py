"""`yieldopt why`: why parts have no place, why boards are not cut, what one more board should be like."""

from __future__ import annotations

import argparse
from pathlib import Path

HELP = "why parts of a plan have no place and boards are not cut, and what one more board should be like"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="the plan.json")
    parser.add_argument("--job", type=Path, metavar="DIR", help="the job folder (default: the folder job beside the plan)")
    parser.add_argument("--seconds", type=float, default=20.0, metavar="S", help="how long it may take in all (default: 20)")


def run(args: argparse.Namespace) -> int:
    """Print the reasons; nothing is written."""
    from dataclasses import replace

    from yieldopt.commands.plan import DAY, LEAST
    from yieldopt.deadline import Deadline

    if not 0 < args.seconds <= DAY:
        from yieldopt.errors import UsageError

        raise UsageError(f"--seconds: found {args.seconds:g}, expected a time above 0 and up to a day")
    deadline = Deadline(max(LEAST, args.seconds - getattr(args, "unseen", 0.0)))
    from yieldopt.insight.second_choice import summary, with_second_choices
    from yieldopt.planning.later import reasons_later
    from yieldopt.planning.warming import warm
    from yieldopt.reading import read_job
    from yieldopt.reading.plans import read_plan
    from yieldopt.records.sections import SecondChoices
    from yieldopt.records.why import SECOND, WHY, not_reached, why_lines
    from yieldopt.workers.executors import Workers, executor_of

    plan, _ = read_plan(args.plan)
    job = read_job(args.job or args.plan.parent / "job")
    warm()
    with executor_of(Workers(None, False)) as executor:
        unplaced, why = reasons_later(job, plan, deadline, executor)
    bare = replace(plan.silent_on(*WHY, SecondChoices), unplaced=unplaced)
    plan = with_second_choices(job, bare.saying(*why), deadline)
    for u in unplaced:
        print(f"not placed: {u.qty} x {u.part}: {u.why}")
    for line in why_lines(plan):
        print(line)
    skipped = not_reached(plan)
    print(summary(job, plan) + (", as far as the time went" if SECOND in skipped else ""))
    if skipped:
        print(f"the time did not reach: {'; '.join(skipped)}; give it more with --seconds")
    return 0
