"""Planning again, measured: seconds on shop, rack and mixed jobs, and how many chalk marks stay for how much money.

    python tests/bench/replan.py [--families shop rack mixed] [--seeds 1 2 3] [--plan-seconds 8] [--seconds 3]

For each job a plan is made, two boards are half cut, two finished pieces ticked off, one piece spoiled and a check found
in another; then it is planned again at several prices of a mark. Prints a table; machines differ, so nothing is asserted.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.families import FAMILIES
from yieldopt.lumber import Defect, Job
from yieldopt.plan import Plan
from yieldopt.planning import plan_job
from yieldopt.planning.warming import warm
from yieldopt.replanning.again import replan
from yieldopt.replanning.figures import marks_kept
from yieldopt.replanning.surprise import Surprise

PRICES = (0.0, 0.5, 2.0, 1000.0)
LINE = (
    "{family:<6} {seed:>4}  {price:>6g}  {seconds:>7.2f}  {kept:>4} of {marks:<4} {share:>4.0%}"
    "  {cost:>9.2f}  {extra:>+8.2f}  {missing:>7}"
)
HEAD = "family seed   price  seconds  marks kept          net cost  beside 0  missing"


def a_surprise(job: Job, plan: Plan, seed: int) -> Surprise:
    """Two boards half cut, two pieces done, one spoiled, and a check through one that is not cut yet."""
    rng = random.Random(seed)
    names = [p.piece for _, p in plan.pieces()]
    done, spoiled, hit = rng.sample(names, 2), rng.choice(names), rng.choice(names)
    entry, piece = next((e, p) for e, p in plan.pieces() if p.piece == hit)
    check = Defect("check", "both", piece.x + piece.length / 3, piece.y + piece.width / 3, Fraction(3), Fraction(1, 4))
    half = {b.board: max(1, len(b.cuts) // 2) for b in rng.sample(plan.boards, min(2, len(plan.boards)))}
    return Surprise(frozenset(done) - {spoiled}, frozenset({spoiled}), {entry.board: (check,)}, half)


def measure(family: str, seed: int, plan_seconds: float, seconds: float) -> list[str]:
    """The lines of one job's table."""
    job = FAMILIES[family](seed)
    plan = plan_job(job, seconds=plan_seconds, seed=seed).plan
    surprise = a_surprise(job, plan, seed)
    lines, free = [], None
    for price in PRICES:
        began = time.perf_counter()
        result = replan(job, plan, surprise, seconds=seconds, mark_price=price)
        took = time.perf_counter() - began
        kept, marks = marks_kept(plan, result.changes)
        cost, missing = result.plan.totals.net_cost, sum(u.qty for u in result.plan.unplaced)
        free = cost if free is None else free
        lines.append(
            LINE.format(
                family=family,
                seed=seed,
                price=price,
                seconds=took,
                kept=kept,
                marks=marks,
                share=kept / marks if marks else 1.0,
                cost=cost,
                extra=cost - free,
                missing=missing,
            )
        )
    return lines


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--families", nargs="+", choices=sorted(FAMILIES), default=["shop", "rack", "mixed"])
    parser.add_argument("--seeds", nargs="+", type=int, default=[1, 2, 3])
    parser.add_argument("--plan-seconds", type=float, default=8.0)
    parser.add_argument("--seconds", type=float, default=3.0)
    args = parser.parse_args(arguments)
    warm()
    print(HEAD)
    for family in args.families:
        for seed in args.seeds:
            for line in measure(family, seed, args.plan_seconds, args.seconds):
                print(line, flush=True)


if __name__ == "__main__":
    main()
