"""`yieldopt replan`: the wood has surprised you; plan again from what is left."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yieldopt.replanning.onfolder import Begun
    from yieldopt.replanning.surprise import Surprise

HELP = "plan again from what is left, after pieces are cut or spoiled and defects found"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="the plan.json so far")
    parser.add_argument("--done", type=Path, metavar="FILE", help="pieces that are finished, one a line")
    parser.add_argument("--spoiled", type=Path, metavar="FILE", help="pieces that were cut and lost, one a line")
    parser.add_argument("--found", type=Path, metavar="FILE", help="defects that came to light, with the columns of defects.csv")
    parser.add_argument(
        "--cut-through",
        action="append",
        default=[],
        metavar="BOARD:N",
        help="the board's cuts up to number N are made (may be given again)",
    )
    parser.add_argument(
        "--happened",
        action="append",
        default=[],
        metavar="LINE",
        help='one surprise in one line, such as "rail#2: spoiled" or "W3: check on A at 31 1/2, 2 1/4, 3 x 1/8" (again for more)',
    )
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="where to write plan.json and job/")
    parser.add_argument("--job", type=Path, metavar="DIR", help="the job folder (default: the folder job beside the plan)")
    parser.add_argument(
        "--seconds", type=float, default=3.5, metavar="S", help="how long it may take in all, drawing included (default: 3.5)"
    )
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another number tries another search (default: 0)")
    parser.add_argument("--who", metavar="NAME", help="who reports this, for the history (default: the user's name here)")
    parser.add_argument(
        "--mark-price",
        type=float,
        metavar="MONEY",
        help="what it costs to rub out one chalk line; 0 plans all that is left afresh where that saves anything (default: 0.5)",
    )


def run(args: argparse.Namespace) -> int:
    """Plan again, check, write; 0: all placed, 3: some parts unplaced, 4: our own check refused the plan."""
    from yieldopt.ground.deadline import UNSEEN, Deadline

    whole = Deadline(args.seconds - (getattr(args, "unseen", 0.0) or UNSEEN))
    from yieldopt.commands.options import checked_seconds
    from yieldopt.planned.whole import ask_again
    from yieldopt.replanning.intime import Effort, begun, replan_in_time
    from yieldopt.replanning.revision_told import summary

    effort = Effort(whole, checked_seconds(args.seconds), args.seed, _price(args.mark_price))
    was = begun(args.plan, args.job)
    ended = replan_in_time(was, args.out, _told(args, was), effort, args.who)
    path = args.out / "plan.json"
    lines = [*summary(was.job, was.plan, ended.result), *ask_again(ended.plan, path), f"written: {path}"]
    print("\n".join([ended.note, *lines] if ended.note else lines))
    return 0 if ended.result.plan.complete else 3


def _price(given: float | None) -> float:
    from yieldopt.ground.errors import UsageError
    from yieldopt.replanning.again import MARK_PRICE

    price = MARK_PRICE if given is None else given
    if not 0 <= price < 1e9:
        raise UsageError(f"--mark-price: found {price:g}, expected 0 or more")
    return price


def _told(args: argparse.Namespace, was: Begun) -> Surprise:
    from yieldopt.replanning.asking import told

    return told(was.job, was.plan, args.done, args.spoiled, args.found, args.cut_through, args.happened)
