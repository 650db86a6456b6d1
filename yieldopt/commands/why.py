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
    from yieldopt.commands.options import checked_seconds, command_clock

    deadline = command_clock(args, checked_seconds(args.seconds))
    from yieldopt.planned.reasons import reason_lines, with_reasons
    from yieldopt.planned.sound import plan_with_job

    job, plan = plan_with_job(args.plan, args.job)
    print("\n".join(reason_lines(job, with_reasons(job, plan, deadline))))
    return 0
