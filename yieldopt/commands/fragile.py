"""`yieldopt fragile`: how likely is it that the stock in hand lasts, whatever the planer uncovers?"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yieldopt.fragility.inquiry import Wanted

HELP = "how likely a plan is to finish from the stock in hand, and what would raise that"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan.json")
    parser.add_argument("--job", type=Path, metavar="DIR", help="the job folder (default: the folder job beside the plan)")
    parser.add_argument("--draws", type=int, default=100, metavar="N", help="how many trials of each kind (default: 100)")
    parser.add_argument("--seconds", type=float, default=300.0, metavar="S", help="how long to try in all (default: 300)")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another number gives other trials (default: 0)")
    parser.add_argument(
        "--hidden", type=float, metavar="R", help="hidden flaws a square foot of 4/4 common boards (default: 0.02)"
    )
    parser.add_argument("--spoil", type=float, metavar="P", help="chance that a piece is spoiled at the bench (default: 0.01)")
    parser.add_argument(
        "--rack", metavar="FILE", help="take the shop's own spoiled pieces and late flaws from this rack, once there are enough"
    )
    parser.add_argument("--chance", default="95%", metavar="P", help="the chance that a robust plan has to have (default: 95%%)")
    parser.add_argument(
        "--out", type=Path, metavar="DIR", help="write the cheapest plan with that chance here: plan.json and job/"
    )
    parser.add_argument("--quiet", action="store_true", help="don't show progress")


def run(args: argparse.Namespace) -> int:
    """Print it; exit status 3 where no plan found has the chance asked for (the best one is written all the same)."""
    from yieldopt.fragility.inquiry import inquire, robust_files
    from yieldopt.ground.files import write_all_atomically
    from yieldopt.planned.sound import sound_plan

    wanted = _wanted(args)
    found = inquire(*sound_plan(args.plan, args.job), wanted)
    print("\n".join(found.lines()))
    if found.robustness is None:
        return 0
    write_all_atomically(args.out, robust_files(found.robustness, wanted.rates))
    print(f"written: {args.out / 'plan.json'}")
    return 0 if found.robustness.promised else 3


def _wanted(args: argparse.Namespace) -> Wanted:
    from yieldopt.commands.options import checked_seconds
    from yieldopt.commands.own_rates import rates_of
    from yieldopt.fragility.inquiry import Wanted
    from yieldopt.ground.errors import UsageError
    from yieldopt.planned.running import share

    if not 2 <= args.draws <= 100_000:
        raise UsageError(f"--draws: found {args.draws}, expected 2 to 100000")
    seconds, target = checked_seconds(args.seconds), share(args.chance, "--chance", "95%")
    rates = rates_of(args.hidden, args.spoil, args.rack)
    return Wanted(rates, args.draws, seconds, args.seed, target if args.out else None, None if args.quiet else _progress)


def _progress(name: str, made: int, wanted: int, finished: int) -> None:
    if sys.stderr.isatty():
        print(f"\r{name}: {made} of {wanted} trials, {finished} finished\x1b[K", end="", file=sys.stderr, flush=True)
    elif made == wanted or made % 25 == 0:
        print(f"{name}: {made} of {wanted} trials, {finished} finished", file=sys.stderr, flush=True)
