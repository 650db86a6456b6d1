"""Robust plans, measured: chance of finishing of plain and robust plans, whether fresh draws keep the promise, what it costs.

    python tests/bench/robust.py [--jobs tight middling roomy] [--seeds 1 2 3] [--draws 200] [--fresh 400] [--promise 0.95]
    python tests/bench/robust.py --plan my-plan/plan.json

Shop-size jobs: `tight` has 12 boards for about 50 pieces, of which a plan cuts nearly all; `middling` 12 for 44, `roomy` 13
for 36. Each is planned, studied, and made robust as `yieldopt fragile --out` does; then the plan chosen is tried on fresh
draws. `kept`: the Wilson interval (95 %) of the fresh draws reaches the promise. Machines differ, so nothing is asserted.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.families import plain
from yieldopt.fragility.reserve import on_fresh_draws, what_to_buy
from yieldopt.fragility.robust import RobustSearch, fresh, needed, robust, sure, ways_to_raise
from yieldopt.fragility.study import Candidate, Chance, study
from yieldopt.ground.deadline import Deadline
from yieldopt.luck.poisson import wilson
from yieldopt.luck.rates import SPOILED, Rates
from yieldopt.luck.surprises import HIDDEN
from yieldopt.planning import plan_job
from yieldopt.planning.warming import warm
from yieldopt.reading import read_job
from yieldopt.reading.plans import read_plan
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan
from yieldopt.workers.runner import Runner

# Boards and pieces.
JOBS = {"tight": (12, 50), "middling": (12, 44), "roomy": (13, 36)}
HEAD = (
    "job    seed  net cost  plain            robust                                costs  its draws        fresh ones       kept"
)


def figure(c: Chance) -> str:
    low, high = wilson(c.finished, c.draws)
    return f"{c.share:>4.0%} ({low:.0%}-{high:.0%})".ljust(16)


def measure(name: str, seed: int, job: Job, plan: Plan, search: RobustSearch, fresh_draws: int, promise: float) -> list[str]:
    """The lines of one job."""
    began = time.perf_counter()
    base = study(
        Candidate("as planned", job, plan, needed(job, plan)),
        search.rates,
        search.draws,
        str(search.seed),
        search.deadline,
        search.watch,
        search.runner,
    )
    best = robust(base, [] if sure(base, promise) else ways_to_raise(base, search), promise, search)
    later = replace(search, draws=fresh_draws)
    tested = fresh(best.candidate, later)
    extra = best.candidate.plan.totals.net_cost - plan.totals.net_cost
    lines = [line(name, seed, plan, base, best.candidate.name, extra, best, tested, promise)]
    if not sure(best, promise):
        reserve = what_to_buy(best, promise, search)
        bought = on_fresh_draws(reserve, tested, later) if reserve else None
        if reserve and bought:
            what = " + ".join(f"{b.count} x {b.line.species} {b.line.quarters}" for b in reserve.bought)
            cost = extra + reserve.cost
            lines.append(line(name, seed, plan, base, f"buy {what}", cost, reserve.chance, bought.chance, promise))
    return [*lines, f"       {time.perf_counter() - began:.0f} s in all; lacking: {dict(base.failing.most_common(4))}"]


def line(
    name: str, seed: int, plan: Plan, base: Chance, what: str, costs: float, chosen: Chance, tested: Chance, promise: float
) -> str:
    kept = "-" if not tested.draws else "yes" if wilson(tested.finished, tested.draws)[1] >= promise else "no"
    return (
        f"{name:<8} {seed:>3}  {plan.totals.net_cost:>8.2f}  {figure(base)} {what:<34}  {costs:>+7.2f}  {figure(chosen)} "
        f"{figure(tested)} {kept}"
    )


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--jobs", nargs="+", choices=sorted(JOBS), default=sorted(JOBS))
    parser.add_argument("--plan", type=Path, help="a plan.json instead of generated jobs")
    parser.add_argument("--seeds", nargs="+", type=int, default=[1, 2, 3])
    parser.add_argument("--plan-seconds", type=float, default=10.0)
    parser.add_argument("--draws", type=int, default=200)
    parser.add_argument("--fresh", type=int, default=400)
    parser.add_argument("--promise", type=float, default=0.95)
    parser.add_argument("--hidden", type=float, default=HIDDEN)
    parser.add_argument("--spoil", type=float, default=SPOILED)
    parser.add_argument("--seconds", type=float, default=3600.0, help="for one job")
    parser.add_argument("--alone", action="store_true", help="one draw after the other, without processes")
    args = parser.parse_args(arguments)
    warm()
    rates = Rates(args.hidden, args.spoil)
    print(HEAD)
    with Runner() as runner:
        if not args.alone:
            runner.start()
        for name, seed, job, plan in _plans(args):
            search = RobustSearch(rates, args.draws, seed, 2.0, Deadline(args.seconds), None, None if args.alone else runner)
            for text in measure(name, seed, job, plan, search, args.fresh, args.promise):
                print(text, flush=True)


def _plans(args: argparse.Namespace):  # type: ignore[no-untyped-def]
    if args.plan is not None:
        yield "given", 0, read_job(args.plan.parent / "job"), read_plan(args.plan)[0]
        return
    for name in args.jobs:
        boards, pieces = JOBS[name]
        for seed in args.seeds:
            job = plain(seed, boards, 12, pieces)
            yield name, seed, job, plan_job(job, seconds=args.plan_seconds, seed=seed).plan


if __name__ == "__main__":
    main()
