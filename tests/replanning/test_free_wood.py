"""What is laid out in a region that earlier cuts have left lies in that region, and a lost piece finds the wood there is."""

from __future__ import annotations

from fractions import Fraction as F

from hypothesis import given, settings
from hypothesis import strategies as st

from yieldopt.planning import plan_job
from yieldopt.planning.wood.stock import Stock
from yieldopt.replanning.again import replan
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Board, Defect, Job, Part

RAIL = Part("rail", 4, "ash", F(3, 4), F(3, 2), F(20))
BOARD = Board("A1", "ash", "4/4", F(1), F(96), F(9), F(17, 16), cost=F(40))


@settings(max_examples=25)
@given(
    st.integers(2, 40),
    st.integers(30, 90),
    st.integers(0, 40),
    st.integers(16, 40),
    st.sampled_from([F(0), F(1, 4)]),
    st.booleans(),
)
def test_a_layout_stays_in_its_region(x: int, length: int, y: int, width: int, crook: F, knot: bool) -> None:
    x0, x1 = F(x), min(F(94), F(x + length))
    y0, y1 = F(y, 8), min(F(9), F(y + width, 8))
    defects = (Defect("knot", "both", F(45), F(3), F(1), F(1)),) if knot else ()
    board = Board("A1", "ash", "4/4", F(1), F(96), F(9), F(17, 16), crook=crook, cost=F(40), defects=defects)
    stock = Stock(board, x0, x1, y0, y1, F(0), F(0))
    plan = plan_job(Job("region", "in", (RAIL,), (board,)), seconds=0.3, stocks=[stock]).plan
    for entry in plan.boards:
        for k in (*entry.blanks, *entry.offcuts):
            assert k.x >= x0
            assert k.x + k.length <= x1
            assert k.y >= y0
            assert k.y + k.width <= y1


def test_a_lost_piece_finds_free_wood_beside_what_is_done() -> None:
    """Two rails side by side fill the near half of a board; the far half, 4 1/2 in wide, is free."""
    board = Board("A1", "ash", "4/4", F(1), F(26), F(9), F(17, 16), cost=F(40))
    job = Job("beside", "in", (Part("rail", 2, "ash", F(3, 4), F(3, 2), F(20)),), (board,))
    plan = plan_job(job, seconds=1, seed=1).plan
    entry = plan.boards[0]
    names = sorted(p.piece for p in entry.pieces)
    again = replan(job, plan, Surprise(done=frozenset(names[:1]), spoiled=frozenset(names[1:])), seconds=1)
    assert again.plan.complete
