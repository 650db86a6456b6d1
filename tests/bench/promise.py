"""Does a purchase keep its promise? `python tests/bench/promise.py [JOB] [--draws 200] [--each 20] [--steps N] [--seconds S]`.

Asks `source` for a purchase, then tries that on fresh draws, each planned long: how many made every part, how many lacked one
for certain, how many were not settled. With `--leanest HOURS` the search goes on from there for so long, with as many trials
a stock, and prints the leanest amount that it found and what more the promise bought. Not a test.
"""

from __future__ import annotations

import argparse
import math
from dataclasses import replace
from pathlib import Path

from yieldopt.demo import MAIN_JOB, inventory
from yieldopt.ground.deadline import Deadline
from yieldopt.planning.warming import warm
from yieldopt.reading import read_job
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.purchase import confirm as trials
from yieldopt.sourcing.purchase.bought import Bought
from yieldopt.sourcing.purchase.confirm import Confirmed, confirm, tried_afresh
from yieldopt.sourcing.purchase.smallest import as_bought
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.study import study
from yieldopt.sourcing.told.everything import report
from yieldopt.workers.runner import Runner


def wilson(made: int, draws: int, z: float = 1.96) -> tuple[float, float]:
    """The Wilson interval of a share (Journal of the American Statistical Association 22, 1927: from memory)."""
    p, n = made / draws, draws
    middle, half = p + z * z / (2 * n), z * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return (middle - half) / (1 + z * z / n), (middle + half) / (1 + z * z / n)


def told(b: Bought, c: Confirmed | None, name: str) -> None:
    """One purchase and what fresh draws say of it."""
    if c is None or c.stock is None:
        print(f"{name}: the planner found none in its time")
        return
    feet = as_bought(b.needs, c.stock, b.market).board_feet
    f = c.fresh
    print(f"{name}: {feet:.1f} board feet; chance {c.share}; search ended: {c.whole}")
    if f.draws:
        low, high = wilson(f.made, f.draws)
        print(f"  fresh draws: {f.made} of {f.draws} made ({100 * low:.0f} to {100 * high:.0f} %), {f.lacking} lacking, "
              f"{f.not_known} not settled")  # fmt: skip


def main() -> None:
    """Source, try afresh, look for less."""
    parser = argparse.ArgumentParser()
    parser.add_argument("job", nargs="?", type=Path, default=inventory() / MAIN_JOB)
    parser.add_argument("--draws", type=int, default=200)
    parser.add_argument("--each", type=float, default=20.0, help="seconds for one fresh plan")
    parser.add_argument("--steps", type=int, help="plans of the study, counted")
    parser.add_argument("--seconds", type=float, default=300.0)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--leanest", type=float, default=0.0, help="hours in which to look for less")
    args = parser.parse_args()
    warm()
    job = read_job(args.job, boards=() if not (args.job / "boards.csv").exists() else None)
    seconds = args.seconds if args.steps is None else 86_400.0
    s: Study = study(job, Asked(seconds=seconds, seed=args.seed, steps=args.steps, rack=False), lambda _: None)
    print("\n".join(report(s)))
    p = s.purchases
    b = None if p is None else p.added if s.question.on_rack.missing else p.whole
    if b is None or b.purchase is None:
        return
    with Runner(None) as runner:
        if b.confirmed is not None and b.confirmed.stock is not None:
            fresh = tried_afresh(b.basis, b.lines, b.market, b.confirmed.stock, args.draws, args.each, runner)
            told(b, replace(b.confirmed, fresh=fresh), "as sourced")
        if args.leanest:
            trials.SEARCH = 1.0
            c = confirm(b.basis, b.purchase, b.needs, b.lines, b.market, s.asked.chance, runner,
                        Deadline(3600 * args.leanest), args.each, lambda _: None)  # fmt: skip
            if c is not None and c.stock is not None:
                fresh = tried_afresh(b.basis, b.lines, b.market, c.stock, args.draws, args.each, runner)
                told(b, replace(c, fresh=fresh), "leanest found")


if __name__ == "__main__":
    main()
