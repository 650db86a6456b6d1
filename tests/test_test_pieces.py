"""The leftover that goes through the planer first lies in sound wood that nothing else takes. Invented data."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import defects

from yieldopt.insight.leftovers import RoughPiece, clear_wood, regions
from yieldopt.insight.milling_order import batches
from yieldopt.wood.lumber import UNSOUND_KINDS, Board, Defect, Job, Part
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Piece, Plan, Totals

BOARD = Board("B", "ash", "4/4", F(1), F(60), F(8), F(1), cost=F(48))
RAIL = Part("rail", 1, "ash", F(3, 4), F(15, 4), F(55))
# A blank of 56 x 4 between the trimmed ends, 3 7/8 of waste beside it.
PLAN = BoardPlan(
    "B", F(48), F(0),
    (Cut(1, "rough", "crosscut", F(15, 8), F(0), F(8), F(1, 8)), Cut(2, "rough", "crosscut", F(58), F(0), F(8), F(1, 8)),
     Cut(3, "rough", "rip", F(4), F(2), F(58), F(1, 8))),
    (Blank("B-a", F(2), F(0), F(56), F(4), 1, (F(3, 4),), ("rail#1",)),),
    (Piece("rail#1", "rail", "B-a", F(2), F(0), F(56), F(4), 1, 1, F(3, 4)),),
)  # fmt: skip


def pieces_for_tests(board: Board):  # type: ignore[no-untyped-def]
    job = Job("j", "in", (RAIL,), (board,))
    plan = Plan("j", "in", (PLAN,), (), Totals(48.0, None, None, 0.5, 1, 0.0))
    return [b.test for b in batches(job, plan, {"B": regions(board, PLAN, job)})]


def meets(t, d: Defect) -> bool:  # type: ignore[no-untyped-def]
    return d.x < t.x + t.length and t.x < d.x + d.length and d.y < t.y + t.width and t.y < d.y + d.width


def test_bark_along_the_edge_is_left_out() -> None:
    bark = Defect("bark", "both", F(0), F(7), F(60), F(1))
    (piece,) = pieces_for_tests(replace(BOARD, defects=(bark,)))
    assert (piece.x, piece.y, piece.length, piece.width) == (F(2), F(33, 8), F(56), F(23, 8))


def test_where_no_sound_wood_is_large_enough_there_is_none() -> None:
    wane = tuple(Defect("wane", "both", F(x), F(5), F(1), F(9, 4)) for x in range(2, 60, 12))
    # Between them 11 in each, under the shortest that may be milled; below and above them less than an inch of width.
    assert pieces_for_tests(replace(BOARD, defects=wane)) == [None]


@settings(max_examples=60)
@given(st.lists(defects("in", F(60), F(0), F(8)), max_size=6))
def test_it_meets_no_unsound_defect_and_lies_in_the_waste(found: list[Defect]) -> None:
    board = replace(BOARD, defects=tuple(found))
    for piece in pieces_for_tests(board):
        if piece is not None:
            assert not any(meets(piece, d) for d in found if d.kind in UNSOUND_KINDS)
            assert piece.x >= 2
            assert piece.x + piece.length <= 58
            assert piece.y >= F(33, 8)
            assert piece.y + piece.width <= 8
            assert piece.length >= 14
            assert piece.width >= 1


@given(st.lists(defects("in", F(20), F(0), F(4)), max_size=4), st.integers(1, 8), st.integers(1, 4))
def test_the_largest_clear_rectangle_is_found(found: list[Defect], length: int, width: int) -> None:
    """Against every rectangle whose sides lie on sides of the region and of defects."""
    board = replace(BOARD, defects=tuple(found))
    bad = [d for d in found if d.kind in UNSOUND_KINDS]
    r = RoughPiece(F(0), F(0), F(20), F(4), "waste")
    xs = sorted({F(0), F(20), *(v for d in bad for v in (d.x, d.x + d.length) if v <= 20)})
    ys = sorted({F(0), F(4), *(v for d in bad for v in (d.y, d.y + d.width) if v <= 4)})
    all_clear = [
        (x1 - x0) * (y1 - y0)
        for x0 in xs
        for x1 in xs
        for y0 in ys
        for y1 in ys
        if x1 - x0 >= length
        and y1 - y0 >= width
        and not any(meets(RoughPiece(x0, y0, x1 - x0, y1 - y0, "waste"), d) for d in bad)
    ]
    best = clear_wood(board, r, F(length), F(width))
    assert (best is None) == (not all_clear)
    if best is not None:
        assert best.length * best.width == max(all_clear)
