"""Planning again, measured: seconds on shop, rack and mixed jobs, and how many chalk marks stay for how much money.

    python tests/bench/replan.py [--families shop rack mixed] [--seeds 1 2 3] [--prices 0 0.5 2] [--seconds 3.5]

For each job a plan is made, two boards are half cut, two finished pieces ticked off, one piece spoiled and a check found
in another; then `yieldopt replan` is run at several prices of a mark, each time as a command of its own: `seconds` is from
its start to its end, `processor` what it used of all cores. Prints a table; machines differ, so nothing is asserted.
"""

from __future__ import annotations

import argparse
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.families import FAMILIES
from yieldopt.ground.files import write_all_atomically
from yieldopt.ground.lengths import as_typed
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job
from yieldopt.planning.warming import warm
from yieldopt.records.planfile import loads
from yieldopt.replanning.compare import changes, marks_kept
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Defect, Job
from yieldopt.wood.plan import Plan

PRICES = [0.0, 0.5, 2.0, 1000.0]
LINE = (
    "{family:<6} {seed:>4}  {price:>6g}  {seconds:>7.2f}  {processor:>9.2f}  {kept:>4} of {marks:<4} {share:>4.0%}"
    "  {cost:>9.2f}  {extra:>+8.2f}  {missing:>7}  {bound}"
)
HEAD = "family seed   price  seconds  processor  marks kept          net cost  beside 0  missing  bound"


def a_surprise(job: Job, plan: Plan, seed: int) -> Surprise:
    """Two boards half cut, two pieces done, one spoiled, and a check through one that is not cut yet."""
    rng = random.Random(seed)
    names = [p.piece for _, p in plan.pieces()]
    done, spoiled, hit = rng.sample(names, 2), rng.choice(names), rng.choice(names)
    entry, piece = next((e, p) for e, p in plan.pieces() if p.piece == hit)
    check = Defect("check", "both", piece.x + piece.length / 3, piece.y + piece.width / 3, Fraction(3), Fraction(1, 4))
    half = {b.board: max(1, len(b.cuts) // 2) for b in rng.sample(plan.boards, min(2, len(plan.boards)))}
    return Surprise(frozenset(done) - {spoiled}, frozenset({spoiled}), {entry.board: (check,)}, half)


def lines_of(job: Job, surprise: Surprise) -> list[str]:
    """The surprise as a person tells it."""
    told = [f"piece {n}: done" for n in sorted(surprise.done)] + [f"piece {n}: spoiled" for n in sorted(surprise.spoiled)]
    told += [f"board {n}: cut through {k}" for n, k in surprise.cut_through.items()]
    for board, found in surprise.found.items():
        for d in found:
            x, y, length, width = (as_typed(v, job.units) for v in (d.x, d.y, d.length, d.width))
            told.append(f"board {board}: {d.kind} at {x}, {y}, {length} x {width}")
    return told


def command(folder: Path, lines: Sequence[str], price: float, seconds: float) -> tuple[Plan, float, float]:
    """The new plan, seconds from start to end, and seconds of processor."""
    told = [option for line in lines for option in ("--happened", line)]
    out = folder / f"again-{price:g}"
    call = [sys.executable, "-m", "yieldopt", "replan", str(folder / "plan.json"), *told, "--out", str(out)]
    before = os.times()
    began = time.perf_counter()
    done = subprocess.run([*call, "--mark-price", str(price), "--seconds", str(seconds)], capture_output=True, text=True)
    took, after = time.perf_counter() - began, os.times()
    if done.returncode not in (0, 3):
        raise SystemExit(done.stderr)
    used = after.children_user + after.children_system - before.children_user - before.children_system
    return loads((out / "plan.json").read_text(encoding="utf-8")), took, used


def measure(family: str, seed: int, prices: Sequence[float], plan_seconds: float, seconds: float) -> Iterator[str]:
    """The lines of one job's table."""
    job = FAMILIES[family](seed)
    plan = plan_job(job, seconds=plan_seconds, seed=seed).plan
    if sum(1 for _ in plan.pieces()) < 4:
        yield f"{family} {seed}: no plan in {plan_seconds:g} s"
        return
    lines = lines_of(job, a_surprise(job, plan, seed))
    free = None
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        write_all_atomically(folder, plan_files(job, plan))
        for price in prices:
            new, took, used = command(folder, lines, price, seconds)
            kept, marks = marks_kept(plan, changes(plan, new))
            cost, missing = new.totals.net_cost, sum(u.qty for u in new.unplaced)
            free = cost if free is None else free
            yield LINE.format(
                family=family,
                seed=seed,
                price=price,
                seconds=took,
                processor=used,
                kept=kept,
                marks=marks,
                share=kept / marks if marks else 1.0,
                cost=cost,
                extra=cost - free,
                missing=missing,
                bound="-" if new.totals.bound is None else f"{new.totals.bound:.2f}",
            )


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--families", nargs="+", choices=sorted(FAMILIES), default=["shop", "rack", "mixed"])
    parser.add_argument("--seeds", nargs="+", type=int, default=[1, 2, 3])
    parser.add_argument("--prices", nargs="+", type=float, default=PRICES)
    parser.add_argument("--plan-seconds", type=float, default=20.0)
    parser.add_argument("--seconds", type=float, default=3.5)
    args = parser.parse_args(arguments)
    warm()
    print(HEAD)
    for family in args.families:
        for seed in args.seeds:
            for line in measure(family, seed, args.prices, args.plan_seconds, args.seconds):
                print(line, flush=True)


if __name__ == "__main__":
    main()
