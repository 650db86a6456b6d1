"""A re-plan puts its new rough cuts on marks and leaves what is cut where it is. Invented data."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from yieldopt.checking import check
from yieldopt.planning import plan_job
from yieldopt.replanning.again import replan
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Board, Job, Part, Shop, Values
from yieldopt.wood.plan import Cut, Plan

MM = F(10, 254)


def rough(plan: Plan) -> dict[tuple[str, str, F, F], Cut]:
    return {(b.board, c.kind, c.at, c.start): c for b in plan.boards for c in b.cuts if c.stage == "rough"}


@pytest.mark.parametrize(("units", "mark"), [("in", F(1, 8)), ("mm", MM)])
def test_new_cuts_lie_on_marks_and_made_ones_stay(units: str, mark: F) -> None:
    """Rails in sixty-fourths (or tenths of a millimetre), several to a board; the first board is sawn to its sections and one
    rail is lost."""
    odd = F(19) + F(27, 64) if units == "in" else F(4931, 10) * MM
    rail, short = Part("rail", 5, "ash", F(3, 4), F(5) + F(11, 64), odd), Part("short", 3, "ash", F(3, 4), F(2), F(15) + F(5, 64))
    boards = tuple(Board(f"A{k}", "ash", "4/4", F(1), F(72), F(13, 2), F(1), cost=F(20)) for k in (1, 2, 3))
    # No offcut is kept, so that there is waste on every board.
    shop = Shop(values=Values(offcut_min_length=F(90)))
    job = Job("rails", units, (rail, short), boards, shop)  # type: ignore[arg-type]
    plan = plan_job(job, steps=4).plan
    assert plan.complete
    assert [c.at for c in rough(plan).values() if c.at % mark] == []
    entry = plan.boards[0]
    sawn = sum(c.stage == "rough" and c.kind == "crosscut" for c in entry.cuts)
    new = replan(job, plan, Surprise(cut_through={entry.board: sawn}, spoiled=frozenset({entry.pieces[0].piece})), seconds=1)
    assert check(new.job, new.plan) == ()
    assert new.plan.complete
    before, after = rough(plan), rough(new.plan)
    made = {k for k, c in after.items() if c.state == "done"}
    assert len(made) >= sawn
    assert made <= set(before)
    assert [c.at for k, c in after.items() if k not in before and c.at % mark] == []
    blanks = {b.blank: b for e in plan.boards for b in e.blanks}
    lost = {n for n, b in blanks.items() if entry.pieces[0].piece in b.pieces}
    same = [b for e in new.plan.boards for b in e.blanks if b.blank in blanks and b.blank not in lost]
    assert same
    assert all(
        (b.x, b.y, b.length, b.width) == (blanks[b.blank].x, blanks[b.blank].y, blanks[b.blank].length, blanks[b.blank].width)
        for b in same
        if set(b.pieces) == set(blanks[b.blank].pieces)
    )
