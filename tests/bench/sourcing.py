"""What to buy for the demo job, and how the grades' calibration fits: `python tests/bench/sourcing.py [SECONDS] [SEED]`.

Prints the closing figures: table of ways, break-even with its spread, purchase against the rule of thumb, draws and
seconds, simulated against published clear yields, and how the purchase's estimate settles with the draws. Not a test.
"""

from __future__ import annotations

import math
import statistics
import sys
from collections.abc import Mapping, Sequence
from fractions import Fraction as F
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from clear_strips import clear_strip_yield

from yieldopt.demo import MAIN_JOB, inventory
from yieldopt.ground.deadline import Deadline
from yieldopt.luck.drawing_boards import draw_board
from yieldopt.luck.grade_wood import GRADES
from yieldopt.planning.warming import warm
from yieldopt.reading import read_job
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.market.lines import Market
from yieldopt.sourcing.purchase.needs import Basis, draw_needs
from yieldopt.sourcing.purchase.smallest import smallest
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.study import study
from yieldopt.sourcing.told.everything import report
from yieldopt.wood.lumber import Job, PriceLine


def calibration(boards: int) -> list[str]:
    """Simulated clear yield of each grade beside the published one, with the spread of single boards."""
    lines = []
    for wood in GRADES:
        line = PriceLine("any", "oak", "4/4", F(1), wood.name, F(1), F(84), F(144), F(5), F(12))
        drawn = [draw_board(line, f"bench {n}", "board").board for n in range(boards)]
        shares = [clear_strip_yield(b) for b in drawn]
        area = sum(float(b.area) for b in drawn)
        whole = sum(s * float(b.area) for s, b in zip(shares, drawn, strict=True)) / area
        spread = statistics.stdev(shares)
        lines.append(
            f"{wood.name:<14} published {100 * (wood.published or 0):.0f} %, simulated {100 * whole:.1f} % "
            f"+- {100 * spread / math.sqrt(boards):.1f}, single boards +- {100 * spread:.0f}"
        )
    return lines


def settling(job: Job, asked: Asked, lines_of: Mapping[str, int], counts: Sequence[int]) -> list[str]:
    """The purchase of the whole job by quick layouts on more and more draws, each count on draws of its own seed."""
    basis = Basis.of(job, None, {p.name: p.qty for p in job.parts})
    lines = []
    for n in counts:
        market = Market(job.prices, job.shop, n, asked.hidden, asked.stress)
        found = smallest(draw_needs(basis, lines_of, market, n, Deadline(3600)), asked.chance, market)
        text = (
            "none found"
            if found is None
            else f"{found.board_feet:.0f} board feet, {100 * found.chance:.1f} % +- {100 * found.error:.1f}"
        )
        lines.append(f"{n:>5} draws: {text}")
    return lines


def figures(job: Job, seconds: float, seed: int, rack: bool, stress: str) -> Study:
    """Study a job and print what was found."""
    found = study(job, Asked(seconds=seconds, seed=seed, rack=rack, stress=stress), lambda _: None)
    planned = len({d for _, d in found.planned})
    where = "with its rack" if rack else "no rack"
    print(f"\n== {job.name}, {where}, 8/4 of stress {stress}: {found.seconds:.0f} s, {planned} draws planned")
    print("\n".join(report(found)))
    return found


def main(seconds: float, seed: int) -> None:
    """All closing figures."""
    print("\n".join(calibration(800)))
    warm()
    job = read_job(inventory() / MAIN_JOB)
    figures(job, seconds, seed, True, "unknown")
    found = figures(job, seconds, seed, False, "unknown")
    print("\nHow the purchase settles:")
    bought = found.purchases
    print("\n".join(settling(job, found.asked, bought.lines if bought else {}, (25, 50, 100, 200))))


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 300.0, int(sys.argv[2]) if len(sys.argv) > 2 else 0)
