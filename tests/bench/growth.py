"""How effort grows with the rack: `python tests/bench/growth.py [--boards 12 25 50 100 200 400] [--most 120] [--seeds 1]`.

Seconds until the first complete plan and until the proven gap is at most the one asked for, on jobs of 12 to 400 boards
with 3 pieces a board; the exponent of a power law fitted to each by least squares in logarithms. Jobs that do not come
there within the most seconds are marked > and left out of the fit.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from itertools import product
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import numpy as np

from bench.families import plain
from yieldopt.planned.running import share
from yieldopt.planning import plan_job
from yieldopt.planning.warming import warm

SIZES = (12, 25, 50, 100, 200, 400)


def times(boards: int, most: float, gap: float, seed: int = 1) -> tuple[float | None, float | None, float | None]:
    """Seconds to the first complete plan, seconds to the gap (None: not within `most`), and the gap at the end."""
    job = plain(seed, boards, max(2, round(boards * 0.6)), 3 * boards)
    result = plan_job(job, seconds=most, until_gap=gap)
    first = next((p.seconds for p in result.history if p.cost is not None), None)
    there = next((p.seconds for p in result.history if p.gap is not None and p.gap <= gap), None)
    return first, there, result.plan.totals.gap


def exponent(points: Sequence[tuple[int, float]]) -> float | None:
    """b of seconds = a x boards^b; None with fewer than two points."""
    if len(points) < 2:
        return None
    n, t = np.log([p[0] for p in points]), np.log([max(1e-3, p[1]) for p in points])
    return float(np.polyfit(n, t, 1)[0])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--boards", type=int, nargs="+", default=SIZES)
    parser.add_argument("--most", type=float, default=120, help="seconds a job at most")
    parser.add_argument("--gap", default="5%", help="the gap to reach, e.g. 5%%")
    parser.add_argument("--seeds", type=int, default=1, help="jobs of each size, from seed 1")
    args = parser.parse_args()
    gap = share(args.gap)
    warm()
    firsts, theres = [], []
    print(f"{'boards':>6} {'seed':>4} {'first plan':>11} {'to gap':>9} {'gap at end':>11}")
    for boards, seed in product(args.boards, range(1, args.seeds + 1)):
        first, there, last = times(boards, args.most, gap, seed)
        firsts += [(boards, first)] if first is not None else []
        theres += [(boards, there)] if there is not None else []
        a, b = (f"> {args.most:.0f}" if v is None else f"{v:.1f}" for v in (first, there))
        print(f"{boards:>6} {seed:>4} {a:>11} {b:>9} {'-' if last is None else f'{last:.1%}':>11}", flush=True)
    for name, points in (("first plan", firsts), ("to gap", theres)):
        b = exponent(points)
        print(f"{name}: " + ("too few points for a fit" if b is None else f"seconds grow as boards^{b:.2f}"))


if __name__ == "__main__":
    main()
