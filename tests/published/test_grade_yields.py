"""Boards drawn by grade against published yields that were not used to fit them.

Sources: woodworkingnetwork.com, "Improving yield" (parts 4 in wide instead of 2: 15 points less); Forest Service
and trade journal alike on length. What the drawing was fitted to is held in `tests/sourcing/test_calibration.py`.
"""

from __future__ import annotations

import statistics
from fractions import Fraction as F

from clear_strips import clear_strip_yield
from drawn import drawn_yields

from yieldopt.luck.drawing_boards import draw_board
from yieldopt.wood.lumber import PriceLine


def test_wider_parts_yield_less() -> None:
    """Not fitted. The source names no grade; common lumber is what rough mills of that journal cut."""
    drops = [drawn_yields(g)[0] - drawn_yields(g, strip=4.0)[0] for g in ("FAS", "No. 1 Common")]
    assert abs(statistics.mean(drops) - 0.15) < 0.04


def test_longer_parts_yield_less_and_faster_in_low_grades() -> None:
    """Forest Service and trade journal alike (analysis of yield of dimension stock from standard lumber grades, 1965;
    "Improving yield"): yield falls with the length of parts, faster in low grades. Not fitted."""

    def drop(grade: str) -> float:
        line = PriceLine("any", "oak", "4/4", F(1), grade, F(1), F(96), F(144), F(5), F(12))
        boards = [draw_board(line, f"held out {n}", "board").board for n in range(300)]
        short, long = (statistics.fmean(clear_strip_yield(b, shortest=s) for b in boards) for s in (15.0, 48.0))
        return 1 - long / short

    fas, first, second = map(drop, ("FAS", "No. 1 Common", "No. 2A Common"))
    assert 0 < fas < first < second
