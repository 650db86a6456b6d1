"""What share of boards drawn by grade comes out in clear strips: shared by the calibration and by the published checks."""

from __future__ import annotations

import math
import statistics
from fractions import Fraction as F

from clear_strips import clear_strip_yield

from yieldopt.luck.drawing_boards import draw_board
from yieldopt.wood.lumber import PriceLine

BOARDS = 800


def drawn_yields(grade: str, nominal: F = F(1), strip: float = 2.0) -> tuple[float, float]:
    """Share of the whole lot's area in clear strips, and its standard error."""
    line = PriceLine("any", "oak", f"{nominal * 4}/4", nominal, grade, F(1), F(84), F(144), F(5), F(12))
    boards = [draw_board(line, f"held out {n}", "board").board for n in range(BOARDS)]
    shares = [clear_strip_yield(b, strip) for b in boards]
    area = sum(float(b.area) for b in boards)
    return sum(s * float(b.area) for s, b in zip(shares, boards, strict=True)) / area, statistics.stdev(shares) / math.sqrt(
        BOARDS
    )
