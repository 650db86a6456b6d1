"""A wandering board's lines can be marked by the figures on its sheet; edges without a rip are named. Invented data."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import outlines

from yieldopt.checking import check
from yieldopt.drawing.board.waney import edge_notes, on_wood
from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.ground.lengths import in_fractions
from yieldopt.planning import plan_job
from yieldopt.records.planfile import dumps, loads
from yieldopt.wood.lumber import Board, EdgePoint, Job, Part
from yieldopt.wood.plan import Plan


def board(length: int, width: F) -> Board:
    return Board("B", "ash", "4/4", F(1), F(length), width, F(1), cost=F(40))


def part(length: F, width: F) -> Part:
    return Part("P", 1, "ash", F(3, 4), width, length)


def job(parts: list[Part], boards: list[Board]) -> Job:
    return Job("j", "in", tuple(parts), tuple(boards))


def planned(b: Board) -> tuple[Job, Plan]:
    j = job([part(length=F(30), width=F(3)), replace(part(length=F(20), width=F(2)), name="Q")], [b])
    plan = plan_job(j, steps=2).plan
    assert check(j, plan) == ()
    return j, plan


def sheet_words(j: Job, plan: Plan) -> list[str]:
    pages = draw_packet(j, plan, date="2026-01-01").sheets[plan.boards[0].board]
    return [t.text for page in pages for t in page.texts()]


def test_offsets_of_the_line_and_of_every_rip_by_hand() -> None:
    """The near edge runs from 1/4 below the line to 1/2 above it over 64 in: 3/256 an inch."""
    taper = (EdgePoint(F(0), F(-1, 4), F(8)), EdgePoint(F(64), F(1, 2), F(8)))
    j, plan = planned(replace(board(length=64, width=F(8)), edges=taper))
    words = " ".join(sheet_words(j, plan))
    assert "Where the lines lie on the wood" in words
    # At the datum end the line lies a quarter in from the near edge, at the far end half an inch off the wood.
    assert "line 0 1/4 64 1/2 off the wood" in words
    count = 0
    for cut in plan.boards[0].cuts:
        if (cut.stage, cut.kind) != ("rough", "rip"):
            continue
        # Up to where the near edge comes in past the line.
        ends = cut.start, min(cut.end, (cut.at + F(1, 4)) * F(256, 3))
        marks = [v for x in ends for v in (x, cut.at - (F(-1, 4) + F(3, 256) * x))]
        figures = " ".join(in_fractions(v).removeprefix("~") for v in marks)
        assert f"cut {cut.order} {figures} " in words, cut
        count += 1
    assert count


@settings(max_examples=40)
@given(st.data())
def test_a_line_is_on_the_wood_where_it_is_said_to_be(data: st.DataObject) -> None:
    b = replace(board(length=60, width=F(8)), edges=data.draw(outlines("in", F(60), F(8))))
    y, start = F(data.draw(st.integers(-32, 160)), 16), F(data.draw(st.integers(0, 30)))
    span = on_wood(b, y, start, F(60))
    samples = [start + (60 - start) * F(k, 50) for k in range(51)]
    on = [x for x in samples if b.channel(x, x)[0] <= y <= b.channel(x, x)[1]]
    assert bool(span) or not on
    if span:
        assert all(span[0] <= x <= span[1] for x in on)
        assert all(b.channel(x, x)[0] <= y <= b.channel(x, x)[1] for x in span)


def test_an_edge_that_no_rip_frees_is_to_be_planed() -> None:
    j = job([part(length=F(30), width=F(19, 4))], [board(length=40, width=5 + F(3, 16))])
    plan = plan_job(j, steps=2).plan
    words = " ".join(sheet_words(j, plan))
    blank = plan.boards[0].blanks[0].blank
    for side in ("near", "far"):
        assert f"No rip along the board's own {side} edge, plane (joint) to it: {blank}." in words


@settings(max_examples=6)
@given(st.data())
def test_the_same_edges_are_named_once_the_plan_was_written_and_read(data: st.DataObject) -> None:
    b = replace(board(length=60, width=F(8)), edges=data.draw(outlines("in", F(60), F(8))))
    j = job([part(length=F(20), width=F(5, 2))], [b])
    plan = plan_job(j, steps=2).plan
    again = loads(dumps(plan))
    for one, two in zip(plan.boards, again.boards, strict=True):
        assert edge_notes(one) == edge_notes(two)
