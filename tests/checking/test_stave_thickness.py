"""A stave may be milled up to 1/4 in thicker than its part, for flattening the glued panel: the rule of the format. Whoever
wrote the plan may say so of the stave or of its layer only. One piece has its part's thickness exactly."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from breaking import pieces, summed, with_part
from workshop import JOB, plan_of

from yieldopt.checking import check
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan


def thinner_panel(by: F, told: bool) -> tuple[Job, Plan]:
    """A good plan's job with its glued-up shelf that much thinner than its staves are milled; `told`: the pieces say so too."""
    for seed in range(20):
        plan = plan_of(seed)
        for _, piece, part in pieces(JOB, plan):
            if piece.stave is not None:
                job = with_part(JOB, part, thickness=part.thickness - by)
                if not told:
                    boards = tuple(
                        replace(
                            b,
                            pieces=tuple(
                                replace(p, thickness=p.thickness - by) if p.part == part.name else p for p in b.pieces
                            ),
                        )
                        for b in plan.boards
                    )
                    plan = replace(plan, boards=boards)
                return job, summed(job, plan)
    raise AssertionError("no plan has staves")


@pytest.mark.parametrize("by", [F(1, 64), F(1, 16), F(1, 4)])
@pytest.mark.parametrize("told", [True, False])
def test_staves_up_to_a_quarter_thicker_pass(by: F, told: bool) -> None:
    assert check(*thinner_panel(by, told)) == ()


def test_a_hair_more_or_less_does_not() -> None:
    over, under = F(1, 4) + F(1, 64), -F(1, 64)
    assert {f.code for f in check(*thinner_panel(over, True))} == {406}
    assert {f.code for f in check(*thinner_panel(over, False))} == {407}
    assert {f.code for f in check(*thinner_panel(under, True))} == {406, 411}


def test_one_piece_is_as_thick_as_its_part() -> None:
    for _, piece, part in pieces(JOB, plan_of(0), None):
        if piece.stave is None:
            job = with_part(JOB, part, thickness=part.thickness - F(1, 64))
            assert {f.code for f in check(job, summed(job, plan_of(0)))} == {406}
            return
    raise AssertionError("no single piece")
