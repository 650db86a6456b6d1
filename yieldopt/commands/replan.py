"""`yieldopt replan`: the wood has surprised you; plan again from what is left."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yieldopt.plan import Plan
    from yieldopt.replanning.again import Replanned

# What check, pages and files take at the end against all that goes before the search, and the share of the time that is
# searched whatever that takes.
ENDING, LEAST_SEARCH = 0.8, 0.35
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
    from yieldopt.deadline import UNSEEN, Deadline

    whole = Deadline(args.seconds - (getattr(args, "unseen", 0.0) or UNSEEN))
    from yieldopt.errors import UsageError
    from yieldopt.planning.warming import warm
    from yieldopt.reading import read_job
    from yieldopt.reading.plans import read_plan
    from yieldopt.records.why import not_reached
    from yieldopt.replanning import history
    from yieldopt.replanning.again import MARK_PRICE, replan
    from yieldopt.replanning.asking import told
    from yieldopt.replanning.onfolder import Begun, replan_into
    from yieldopt.replanning.revision_told import changes_page, summary
    from yieldopt.replanning.surprise import Surprise

    if not 0 < args.seconds <= 86_400:
        raise UsageError(f"--seconds: found {args.seconds:g}, expected a time above 0 and up to a day")
    price = MARK_PRICE if args.mark_price is None else args.mark_price
    if not 0 <= price < 1e9:
        raise UsageError(f"--mark-price: found {price:g}, expected 0 or more")
    plan, text = read_plan(args.plan)
    job = read_job(args.job or args.plan.parent / "job")
    strangers = sorted({b.board for b in plan.boards} - set(job.board_named))
    if strangers:
        raise UsageError(f"{args.plan}: the plan cuts boards that are not in the job: {', '.join(strangers)}")
    surprise = told(job, plan, args.done, args.spoiled, args.found, args.cut_through, args.happened)
    warm()
    # Check, pages and files take about as much again as beginning did, on a busy machine too.
    ending = ENDING * (args.seconds - whole.left)

    def planner(happened: Surprise) -> Replanned:
        seconds = max(LEAST_SEARCH * args.seconds, whole.left - ending)
        return replan(job, plan, happened, seconds=seconds, seed=args.seed, mark_price=price)

    def beside(result: Replanned, new: Plan) -> dict[str, str | bytes]:
        return {"changes.html": changes_page(job, plan, result, new)} if new.revision != plan.revision else {}

    who = args.who or history.somebody()
    ended = replan_into(Begun(args.plan, text, plan, job), args.out, surprise, planner, who, beside, whole)
    if ended.note:
        print(ended.note)
    for line in summary(job, plan, ended.result):
        print(line)
    skipped = not_reached(ended.plan)
    if skipped:
        print(f"the time did not reach: {'; '.join(skipped)}; ask with: yieldopt why {args.out / 'plan.json'}")
    print(f"written: {args.out / 'plan.json'}")
    return 0 if ended.result.plan.complete else 3
