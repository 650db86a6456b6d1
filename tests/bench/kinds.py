"""What keeping to our kinds of layout costs on one board: `python tests/bench/kinds.py [--boards 8] [--types 8] [--seconds 60]`.

The most that one board gives at given values of the parts, as often as they fit, offcuts worth nothing: by the pricing step
(crosscut first or rip first, in sections and strips) and by the exact guillotine engine (any number of stages). `bound` is
the engine's, where the time was not enough for a proof; then the loss is between the two last columns. Boards of common
grade as in `families.py`, parts with two clear faces, values by area, a fifth more or less by chance.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import numpy as np

from bench.families import board, part
from yieldopt.planning.guillotine import Defect, Item, Sheet, solve
from yieldopt.planning.pricing.context import Context, prepare
from yieldopt.planning.pricing.sections import Shape
from yieldopt.planning.warming import warm
from yieldopt.sizes.sizing import rough_length, rough_width
from yieldopt.wood.lumber import SWIRL_KINDS, Job
from yieldopt.workers.serial import Serial

# All sizes of the generator are whole eighths of an inch.
PER_INCH = 8
COPIES = 99


def job_of(seed: int, types: int, defects: bool) -> Job:
    """One board, and so many kinds of part, each wanted as often as it fits."""
    rng = random.Random(seed)
    wood = board(rng, "B")
    parts = tuple(replace(part(rng, f"P{k}"), qty=COPIES, faces=2) for k in range(types))
    return Job(f"one board, seed {seed}", "in", parts, (wood if defects else replace(wood, defects=()),))


def values_of(job: Job, seed: int) -> list[float]:
    rng = random.Random(seed)
    return [float(p.length * p.width) * rng.uniform(0.8, 1.2) for p in job.parts]


def ours(job: Job, values: list[float]) -> float:
    """The most by the pricing step."""
    c: Context = prepare(job, Serial(), Shape(), Shape())
    worth = np.array([values[row.parts[0]] for row in c.rows])
    layout = c.engine.full[0].price(c.engine.supply @ worth, 0.0).layout
    return sum(values[q.part] for p in layout.placed for q in c.items[p.item].pieces)


def anyhow(job: Job, values: list[float], seconds: float) -> tuple[float, float]:
    """The most by guillotine cuts of any number of stages, and a bound on it."""
    (b,) = job.boards
    shop, trim = job.shop, job.shop.allowances.board_end

    def units(length: Fraction) -> int:
        return int(length * PER_INCH)

    flaws = []
    for d in b.defects:
        swirl = d.kind in SWIRL_KINDS
        a, c = (shop.allowances.defect_along, shop.allowances.defect_across) if swirl else (Fraction(0), Fraction(0))
        x, y = units(d.x - a - trim), units(d.y - c)
        flaws.append(Defect(x, y, units(d.length + 2 * a), units(d.width + 2 * c)))
    kerf = shop.kerf
    sheet = Sheet(units(b.length - 2 * trim), units(b.width), units(kerf.crosscut), units(kerf.rip), tuple(flaws))
    items = [Item(units(rough_length(p, shop)), units(rough_width(p, shop)), v) for p, v in zip(job.parts, values, strict=True)]
    answer = solve(sheet, items, seconds)
    return answer.value, answer.bound


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--boards", type=int, default=8)
    parser.add_argument("--types", type=int, default=8)
    parser.add_argument("--seconds", type=float, default=60, help="for the engine on one board")
    args = parser.parse_args()
    warm()
    print(f"{'board':<18} {'defects':>7} {'our kinds':>10} {'any cuts':>10} {'bound':>10} {'loss':>7} {'at most':>8}")
    for defects in (False, True):
        losses, most = [], []
        for seed in range(1, args.boards + 1):
            job = job_of(seed, args.types, defects)
            values = values_of(job, seed)
            kinds = ours(job, values)
            best, bound = anyhow(job, values, args.seconds)
            best = max(best, kinds)
            losses.append(1 - kinds / best if best else 0.0)
            most.append(1 - kinds / bound if bound else 0.0)
            name = f"seed {seed}, {float(job.boards[0].length):.0f} x {float(job.boards[0].width):.1f}"
            worths = f"{kinds:>10.1f} {best:>10.1f} {bound:>10.1f}"
            print(f"{name:<18} {len(job.boards[0].defects):>7} {worths} {losses[-1]:>7.2%} {most[-1]:>8.2%}", flush=True)
        what = "with their defects" if defects else "without defects"
        mean = f"loss {statistics.fmean(losses):.2%} in the mean, {max(losses):.2%} at worst"
        print(f"{what}: {mean}; at most {statistics.fmean(most):.2%} in the mean")


if __name__ == "__main__":
    main()
