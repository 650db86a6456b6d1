"""The planner beside two general-purpose ways: `python tests/bench/yardsticks.py [--seeds 3] [--seconds 10] [--boards 6 12]`.

On plain jobs (one species, no defects, no credit for offcuts, all pieces single), the least cost of the boards cut by:

    ours      `plan_job`, with its proven bound
    rectpack  the best over rectpack's guillotine and free packers, of sizes with a kerf added; boards by price per area
    CP-SAT    one model: optional intervals in NoOverlap2D a board, 2 workers; it need not keep to through-cuts, so it
              answers an easier question, and its bound holds for any layout of rectangles

The same seconds for ours and CP-SAT; rectpack needs a fraction of one. A dash: no packing of all pieces found. `better` is by
how much the other is dearer; below zero, ours is the dearer one.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from fractions import Fraction
from itertools import product
from math import ceil
from pathlib import Path
from statistics import fmean

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import rectpack
from ortools.sat.python import cp_model

from bench.families import plain
from yieldopt.planning import plan_job
from yieldopt.planning.warming import warm
from yieldopt.sizes.sizing import rough_length, rough_width
from yieldopt.wood.lumber import Job, Shop, Values

# All sizes of the generator with their kerf are whole eighths of an inch.
PER_INCH = 8
CENTS = 100


def bare(seed: int, boards: int) -> Job:
    """A job that rectangles alone express."""
    job = plain(seed, boards, boards, 4 * boards)
    shop = Shop(values=Values(offcut_credit=Fraction(0)))
    return replace(job, shop=shop, boards=tuple(replace(b, defects=()) for b in job.boards))


def sizes(job: Job) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
    """Boards between their trims and pieces, each with a kerf added, in eighths of an inch."""
    kerf, trim = job.shop.kerf, job.shop.allowances.board_end
    boards = [(int((b.length - 2 * trim + kerf.crosscut) * PER_INCH), int((b.width + kerf.rip) * PER_INCH)) for b in job.boards]
    pieces = [
        (ceil((rough_length(p, job.shop) + kerf.crosscut) * PER_INCH), ceil((rough_width(p, job.shop) + kerf.rip) * PER_INCH))
        for p in job.parts
        for _ in range(p.qty)
    ]
    return boards, pieces


def packed(job: Job) -> float | None:
    """Least cost over rectpack's packers, orders of pieces and rules for the next board."""
    boards, pieces = sizes(job)
    order = sorted(range(len(boards)), key=lambda k: job.boards[k].price / job.boards[k].area)
    guillotine = (rectpack.GuillotineBssfSas, rectpack.GuillotineBafLas)
    packers = (*guillotine, rectpack.MaxRectsBssf, rectpack.MaxRectsBaf, rectpack.SkylineMwfl)
    sorts = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_RATIO)
    best = None
    for packer, sort, rule in product(packers, sorts, (rectpack.PackingBin.BFF, rectpack.PackingBin.BBF)):
        p = rectpack.newPacker(mode=rectpack.PackingMode.Offline, bin_algo=rule, pack_algo=packer, sort_algo=sort, rotation=False)
        for k in order:
            p.add_bin(*boards[k], bid=k)
        for n, (length, width) in enumerate(pieces):
            p.add_rect(length, width, rid=n)
        p.pack()
        found = p.rect_list()
        if len(found) == len(pieces):
            cost = float(sum(job.boards[p[i].bid].price for i in {r[0] for r in found}))
            best = cost if best is None else min(best, cost)
    return best


def modelled(job: Job, seconds: float) -> tuple[float | None, float]:
    """Cost and bound of one CP-SAT model with every piece optional on every board."""
    boards, pieces = sizes(job)
    m = cp_model.CpModel()
    used = [m.new_bool_var("") for _ in boards]
    on = [[m.new_bool_var("") for _ in boards] for _ in pieces]
    for row in on:
        m.add_exactly_one(row)
    for k, (long, wide) in enumerate(boards):
        xs, ys = [], []
        for (length, width), row in zip(pieces, on, strict=True):
            if length > long or width > wide:
                m.add(row[k] == 0)
                continue
            m.add_implication(row[k], used[k])
            x, y = m.new_int_var(0, long - length, ""), m.new_int_var(0, wide - width, "")
            xs.append(m.new_optional_fixed_size_interval_var(x, length, row[k], ""))
            ys.append(m.new_optional_fixed_size_interval_var(y, width, row[k], ""))
        m.add_no_overlap_2d(xs, ys)
        m.add(sum(a * b * row[k] for (a, b), row in zip(pieces, on, strict=True)) <= long * wide)
    m.minimize(sum(round(b.price * CENTS) * u for b, u in zip(job.boards, used, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(m)
    found = solver.objective_value / CENTS if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
    return found, solver.best_objective_bound / CENTS


def compare(job: Job, seconds: float) -> dict[str, float | None]:
    """One job by all three."""
    plan = plan_job(job, seconds=seconds).plan
    found, bound = modelled(job, seconds)
    ours = plan.totals.net_cost if plan.complete else None
    return {"ours": ours, "our bound": plan.totals.bound, "rectpack": packed(job), "CP-SAT": found, "its bound": bound}


def better(ours: float | None, other: float | None) -> float | None:
    """By how much the other is dearer than ours; None where either has no plan."""
    return None if ours is None or other is None else other / ours - 1


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=3, help="how many jobs, from seed 1")
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--boards", type=int, nargs="+", default=(6,))
    args = parser.parse_args()
    warm()
    names = ("ours", "our bound", "rectpack", "CP-SAT", "its bound")
    head = [f"{'boards':>6} {'seed':>4} {'pieces':>6}", *(f"{n:>10}" for n in names), f"{'better':>8} {'better':>8}"]
    print(" ".join(head))
    by: dict[str, list[float]] = {"rectpack": [], "CP-SAT": []}
    for boards, seed in product(args.boards, range(1, args.seeds + 1)):
        job = bare(seed, boards)
        row = compare(job, args.seconds)
        figures = [f"{'-' if (v := row[n]) is None else format(v, '.2f'):>10}" for n in names]
        for other in by:
            change = better(row["ours"], row[other])
            by[other] += [] if change is None else [change]
            figures.append(f"{'-' if change is None else format(change, '.1%'):>8}")
        print(f"{boards:>6} {seed:>4} {sum(p.qty for p in job.parts):>6} " + " ".join(figures), flush=True)
    for other, found in by.items():
        if found:
            worse = sum(f < -1e-9 for f in found)
            said = f"{fmean(found):.1%} dearer than ours in the mean, {min(found):.1%} at least"
            print(f"{other}: {said}; ours dearer on {worse} of {len(found)}")


if __name__ == "__main__":
    main()
