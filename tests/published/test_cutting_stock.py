"""The planner as a whole on a published problem: how few master rolls make an order.

The paper mill's order of the encyclopaedia article "Cutting stock problem" (Wikipedia; the table was read in a copy): rolls
5600 mm wide, thirteen widths, 407,160 mm in all. It prints a lower bound of 73 rolls (72.7 by length) and a best answer of 73.
"""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from yieldopt.checking import check
from yieldopt.planning import plan_job
from yieldopt.wood.lumber import Allowances, Board, Job, Kerf, Part, Shop, Values

ORDER = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
    2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
}  # fmt: skip
ROLL, BEST = 5600, 73
MM = F(10, 254)


def rolls(number: int) -> Job:
    """The order as parts and boards. No saw leaves no kerf, so a kerf of 1 mm is taken off each width and off the roll: n widths
    and n - 1 kerfs fit where n widths fitted."""
    none = Allowances(face=F(0), edge=F(0), end=F(0), board_end=F(0))
    shop = Shop(allowances=none, kerf=Kerf(MM, MM, MM), values=Values(offcut_credit=F(0)))
    parts = tuple(Part(f"w{w}", n, "ash", F(3, 4), F(3), (w - 1) * MM) for w, n in ORDER.items())
    boards = tuple(Board(f"R{n}", "ash", "4/4", F(1), (ROLL - 1) * MM, F(3), F(1), cost=F(1)) for n in range(1, number + 1))
    return Job("rolls", "mm", parts, boards, shop)


def test_the_order_is_the_published_one() -> None:
    assert sum(w * n for w, n in ORDER.items()) == 407_160


@pytest.mark.long
def test_as_few_rolls_as_published() -> None:
    job = rolls(76)
    plan = plan_job(job, seconds=600, steps=30).plan
    assert not check(job, plan)
    assert not plan.unplaced
    assert plan.totals.net_cost == BEST
    assert plan.totals.bound is not None
    # Rolls come whole: a bound above 72 proves 73.
    assert BEST - 1 < plan.totals.bound <= BEST
