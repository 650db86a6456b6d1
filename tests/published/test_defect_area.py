"""Boards drawn by grade take no more of their face for defects than was measured.

Source: Forest Products Journal, 1995, Appalachian red oak: mean defect area FAS 1.2, No. 1 Common 6.8, No. 2A Common 9.8 % of the
face (abstract). The grades' flaws were fitted to it and to the yields of clear strips together, on other seeds. For thicker stock
no figure was found; it is held to its grade's, as the grading rule is the same.
"""

from __future__ import annotations

from fractions import Fraction as F

import numpy as np
import pytest

from yieldopt.luck.drawing_boards import draw_board
from yieldopt.wood.lumber import Board, PriceLine

PUBLISHED = {"FAS": 0.012, "No. 1 Common": 0.068, "No. 2A Common": 0.098}
# Boards, and how far their share may lie from the published one: single boards differ as much as that again.
BOARDS, WITHIN = 90, 0.3


def _area(board: Board) -> float:
    """Square inches that defects cover, overlaps once, the mean of both faces; all lies on eighths."""
    total = 0.0
    for face in "AB":
        cells = np.zeros((int(board.length * 8), int(board.width * 8)), dtype=bool)
        for d in board.defects:
            if d.face in (face, "both"):
                x, y = int(d.x * 8), int(d.y * 8)
                cells[x : x + int(d.length * 8), y : y + int(d.width * 8)] = True
        total += cells.sum() / 64
    return total / 2


@pytest.mark.parametrize("nominal", [F(1), F(2)])
@pytest.mark.parametrize("grade", PUBLISHED)
def test_defects_take_the_published_share_of_the_face(grade: str, nominal: F) -> None:
    line = PriceLine("any", "oak", f"{nominal * 4}/4", nominal, grade, F(1), F(84), F(144), F(5), F(12))
    boards = [draw_board(line, f"area held out {n}", "board").board for n in range(BOARDS)]
    share = sum(map(_area, boards)) / sum(float(b.area) for b in boards)
    assert share == pytest.approx(PUBLISHED[grade], rel=WITHIN)
