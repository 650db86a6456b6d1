"""Boards drawn by grade: the yields that the drawing was fitted to come out again on other seeds, and each board makes its grade.

Calibration, no prediction: woodworkingnetwork.com, "Why is lumber yield decreasing" (clear-two-face strips: FAS 70, No. 1
Common 59, No. 2A Common 43, No. 3A Common 30 %); the same, "Improving yield" (5/4: 5, 8/4: 8 points less than 4/4; 5 points
or more between neighbouring grades). That a board makes its grade is judged by the grading rules (`trade.cuttings`). How far
grades overlap is not held to a published figure: the 23 and 46 % of No. 1 Common boards "in the FAS range" (Forest Products
Journal, 1995, and a paper on it) are shares of clear area, of boards measured another way.
"""

from __future__ import annotations

import itertools
import math
import random
from fractions import Fraction as F

import pytest
from drawn import drawn_yields

from yieldopt.luck.drawing_boards import draw_board
from yieldopt.luck.grade_wood import GRADES, GradeWood, wood_of
from yieldopt.luck.regions import flawed_regions
from yieldopt.trade.cuttings import best_cuttings
from yieldopt.trade.estimate import estimate
from yieldopt.trade.grades import ORDER
from yieldopt.wood.lumber import Board, PriceLine
from yieldopt.wood.rectangles import Rect

FITTED = {"FAS": 0.70, "No. 1 Common": 0.59, "No. 2A Common": 0.43, "No. 3A Common": 0.30}


@pytest.mark.parametrize("grade", FITTED)
def test_the_fitted_yields_come_out_again(grade: str) -> None:
    share, error = drawn_yields(grade)
    assert error < 0.01
    assert abs(share - FITTED[grade]) < 0.02


@pytest.mark.parametrize(("nominal", "drop"), [(F(5, 4), 0.05), (F(2), 0.08)])
def test_thicker_stock_yields_less(nominal: F, drop: float) -> None:
    assert abs(drawn_yields("No. 1 Common")[0] - drawn_yields("No. 1 Common", nominal)[0] - drop) < 0.025


def test_grades_stand_apart() -> None:
    shares = [drawn_yields(g)[0] for g in FITTED]
    assert all(better - worse >= 0.05 for better, worse in itertools.pairwise(shares))


@pytest.mark.parametrize("wood", GRADES, ids=lambda w: w.name)
def test_boards_make_their_grade(wood: GradeWood) -> None:
    """Were all that may hold flaws one flaw, the cuttings of the rule would still be there, on every board."""
    for n in range(40):
        rng = random.Random(f"held out {n}")
        length, width = F(rng.randint(96, 144)), F(rng.randint(48, 96), 8)
        spoilt = [_outwards(*r) for r in _corners(wood, rng, length, width)]
        board = Board("b", "oak", "4/4", F(1), length, width, F(1))
        surface = max(1, round(width * (length // 12) / 12))
        ways = wood.rule.ways(surface)
        found = best_cuttings(board, wood.rule, [r for r in spoilt if r.length > 0 and r.width > 0], [k for k, _ in ways])
        assert any(found[k].units >= needed for k, needed in ways), (length, width, spoilt)


@pytest.mark.parametrize(
    ("wood", "boards", "least"),
    [
        # So few that chance allows for less: the bars proper are those of the long runs.
        (GRADES[0], 30, 0.85),
        (GRADES[1], 8, 0.6),
        pytest.param(GRADES[0], 120, 0.9, marks=pytest.mark.long),
        pytest.param(GRADES[1], 120, 0.8, marks=pytest.mark.long),
        pytest.param(GRADES[2], 60, 0.7, marks=pytest.mark.long),
    ],
)
def test_drawn_boards_are_graded_as_what_they_are_sold_for(wood: GradeWood, boards: int, least: float) -> None:
    """By all of the rules that `trade.estimate` knows, of large enough boards: the grade or a better one."""
    line = PriceLine("any", "oak", "4/4", F(1), wood.name, F(1), F(96), F(144), F(6), F(12))
    grades = [estimate(draw_board(line, f"held out {n}", "b").board).grade for n in range(boards)]
    good = ORDER[: ORDER.index(wood.name) + 1]
    assert sum(g in good for g in grades) >= least * boards


def _corners(wood: GradeWood, rng: random.Random, length: F, width: F) -> list[tuple[float, float, float, float]]:
    return [(r.x0, r.y0, r.x1, r.y1) for r in flawed_regions(rng, wood.rule, wood.upto, float(length), float(width))]


def _outwards(x0: float, y0: float, x1: float, y1: float) -> Rect:
    """The eighths within which flaws are drawn."""
    a, b, c, d = math.ceil(x0 * 8), math.ceil(y0 * 8), math.floor(x1 * 8), math.floor(y1 * 8)
    return Rect(F(a, 8), F(b, 8), F(c - a, 8), F(d - b, 8))


@pytest.mark.parametrize("grade", ["FAS", "No. 1 Common", "No. 2A Common"])
def test_flaws_lie_outside_the_cuttings(grade: str) -> None:
    """Share of a board's face that flaws cover: never more than the grade leaves beside its cuttings."""
    wood = wood_of(grade)[0]
    line = PriceLine("any", "oak", "4/4", F(1), grade, F(1), F(96), F(144), F(6), F(12))
    for n in range(60):
        b = draw_board(line, f"held out {n}", "board").board
        assert all(d.x >= 0 and d.x + d.length <= b.length and d.y >= 0 and d.y + d.width <= b.width for d in b.defects)
        surface = max(1, round(b.width * (b.length // 12) / 12))
        covered = {(x, y) for d in b.defects for x in _cells(d.x, d.length) for y in _cells(d.y, d.width)}
        clear = 1 - len(covered) / 64 / float(b.area)
        assert clear >= float(wood.rule.units) / 12 * min(1.0, surface * 144 / float(b.area)) - 1e-9


def _cells(start: F, extent: F) -> range:
    """Eighths of an inch that a stretch covers."""
    return range(math.floor(start * 8), math.ceil((start + extent) * 8))
