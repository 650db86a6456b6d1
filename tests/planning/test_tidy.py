"""What counts after cost, each thing on the smallest job that has it. Invented data."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from bench.families import mixed, plain
from small_jobs import board, job, part

from yieldopt.checking import check
from yieldopt.ground.deadline import Deadline
from yieldopt.planning import plan_job
from yieldopt.planning.finish.assemble import board_plans
from yieldopt.planning.finish.care import care, set_ups
from yieldopt.planning.finish.cutting import Sawn
from yieldopt.planning.finish.tidy import tidied
from yieldopt.planning.layouts.columns import Column, column_of
from yieldopt.planning.layouts.layout import Layout, Placed, Section, joined
from yieldopt.planning.pricing.context import Context, prepare
from yieldopt.planning.pricing.sections import Shape
from yieldopt.planning.solve import totals
from yieldopt.wood.lumber import Defect, Job, Values
from yieldopt.wood.plan import Plan, Unplaced
from yieldopt.wood.rectangles import Rect
from yieldopt.workers.serial import Serial


def context(j: Job) -> Context:
    return prepare(j, Serial(), Shape(), Shape())


def item(c: Context, name: str) -> int:
    """The item that is one piece of the part alone."""
    return next(
        k for k, i in enumerate(c.items) if [c.job.parts[q.part].name for q in i.pieces] == [name] and i.length < 40
    )


def section(c: Context, start: int, end: int, placed: list[tuple[str, F]], offcuts: tuple[Rect, ...] = ()) -> Section:
    return Section(F(start), F(end), tuple(Placed(item(c, n), F(start), y) for n, y in placed), offcuts)


def tidy(c: Context, *columns: Column) -> list[Column]:
    return tidied(c, columns, Deadline(60))


def passes(c: Context, columns: list[Column]) -> bool:
    boards, missing = board_plans(c.job, c.rows, c.items, c.stocks, [k.layout for k in columns])
    unplaced = tuple(Unplaced(n, q, "not placed by hand") for n, q in missing.items())
    return not check(c.job, Plan("small", "in", boards, unplaced, totals(c.job, boards, missing, None, 0.0)))


def test_set_ups_by_hand() -> None:
    def rip(at: int, start: int) -> Sawn:
        return Sawn("rip", F(at), F(start), F(start + 10))

    # Two crosscuts 30 apart each time, then strips of 3, 3 and 4 in two sections.
    cuts = [Sawn("crosscut", F(x), F(0), F(8)) for x in (2, 32, 62)]
    assert set_ups(cuts) == 2
    assert set_ups([rip(3, 0), rip(6, 0), rip(10, 0)]) == 2
    assert set_ups([rip(3, 0), rip(3, 30)]) == 1
    assert set_ups([*cuts, rip(3, 0), rip(7, 0)]) == 4


def test_one_long_offcut_beats_three_short_of_the_same_area() -> None:
    c = context(job([part()], [board(length=64, width=8)]))
    long = Layout(0, (), (Rect(F(2), F(4), F(48), F(3)),))
    short = Layout(0, (), tuple(Rect(F(2 + 17 * k), F(4), F(16), F(3)) for k in range(3)))
    assert long.credit(c.stocks[0]) == short.credit(c.stocks[0])
    assert care(c, long) < care(c, short)


def test_a_wide_offcut_beats_two_narrow_of_the_same_area() -> None:
    c = context(job([part()], [board(length=64, width=8)]))
    wide = Layout(0, (), (Rect(F(2), F(1), F(30), F(6)),))
    narrow = Layout(0, (), (Rect(F(2), F(1), F(30), F(3)), Rect(F(2), F(5), F(30), F(3))))
    assert care(c, wide) < care(c, narrow)


def test_care_is_small_against_money() -> None:
    """All of it together is a few percent of a board."""
    j = plain(1, 6, 5, 12)
    c = context(j)
    n = len(c.which)
    for priced in c.engine.price(list(c.which), [c.engine.supply.sum(axis=0)] * n, [()] * n, True, Deadline(60)):
        assert abs(care(c, priced.column.layout)) < 0.05 * float(c.stocks[priced.column.stock].cost)


def test_two_offcuts_with_a_strip_between_become_one_wide_one() -> None:
    c = context(job([part(width=2)], [board(width=8)]))
    # 2 1/4 of rail between 2 1/4 and 3 1/4 of offcut, all 21 long; changed about, the offcuts are 5 5/8 in one.
    offcuts = (Rect(F(2), F(0), F(21), F(9, 4)), Rect(F(2), F(19, 4), F(21), F(13, 4)))
    now = column_of(joined(0, [section(c, 2, 24, [("rail", F(19, 8))], offcuts)]), c.stocks, c.items)
    (then,) = tidy(c, now)
    assert then.cost < now.cost
    assert passes(c, [then])
    assert max(o.width for o in then.layout.offcuts) >= F(45, 8)


def test_the_part_that_shows_lies_further_from_the_knot() -> None:
    knot = Defect("knot", "both", F(10), F(0), F(2), F(1, 2))
    parts = [part("front", faces=2), part("runner", faces=0, allow=frozenset({"knot"}))]
    c = context(job(parts, [board(width=6, defects=(knot,))]))
    # As near as the keep-out of 1/4 lets it; the runner, which may hold the knot, beyond.
    now = column_of(joined(0, [section(c, 2, 24, [("front", F(3, 4)), ("runner", F(25, 8))])]), c.stocks, c.items)
    assert passes(c, [now])
    (then,) = tidy(c, now)
    assert passes(c, [then])
    y = {c.job.parts[c.items[p.item].blanks[0].pieces[0].part].name: p.y for p in then.layout.placed}
    assert y["runner"] < y["front"]
    assert then.cost <= now.cost


def test_like_pieces_on_two_boards_change_places() -> None:
    knots = tuple(Defect("knot", "both", F(x), F(5, 2), F(1), F(1)) for x in (5, 15, 25))
    parts = [part("front", faces=2), part("runner", faces=0)]
    c = context(job(parts, [board("K", 28, 4, defects=knots), board("C", 28, 4)]))
    on_knotty = column_of(joined(0, [section(c, 2, 24, [("front", F(0))])]), c.stocks, c.items)
    on_clear = column_of(joined(1, [section(c, 2, 24, [("runner", F(0))])]), c.stocks, c.items)
    assert passes(c, [on_knotty, on_clear])
    then = tidy(c, on_knotty, on_clear)
    assert passes(c, then)
    assert [c.job.parts[c.items[k.layout.placed[0].item].blanks[0].pieces[0].part].name for k in then] == ["runner", "front"]
    assert sum(k.cost for k in then) <= on_knotty.cost + on_clear.cost


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("credit", [F(0), F(3, 5)])
def test_a_tidied_plan_is_no_dearer_gives_the_same_and_passes(seed: int, credit: F) -> None:
    j = plain(seed, 4, 4, 9)
    j = replace(j, shop=replace(j.shop, values=Values(offcut_credit=credit)))
    c = context(j)
    values = c.engine.supply.sum(axis=0)
    columns = [p.column for p in c.engine.price(list(c.which), [values] * 4, [((0, 1), (1, 1))] * 4, False, Deadline(60))]
    then = tidy(c, *columns)
    assert passes(c, then)
    assert [k.gives for k in then] == [k.gives for k in columns]
    assert all(b.cost <= a.cost + 1e-9 for a, b in zip(columns, then, strict=True))
    assert sum(care(c, k.layout) for k in then) <= sum(care(c, k.layout) for k in columns) + 1e-6 or any(
        b.cost < a.cost - 1e-9 for a, b in zip(columns, then, strict=True)
    )


def test_every_kind_of_layout_is_tidied() -> None:
    j = mixed(3)
    assert not check(j, plan_job(j, seconds=2, after=3).plan)


def test_boards_without_a_price_are_cut_for_the_least_wood() -> None:
    boards = [board(f"B{n}", cost=0) for n in range(6)]
    plan = plan_job(job([part(qty=6)], boards), seconds=600, steps=10).plan
    assert not check(job([part(qty=6)], boards), plan)
    assert plan.complete
    assert len(plan.boards) == 1
    assert (plan.totals.net_cost, plan.totals.bound) == (0.0, 0.0)


def test_a_board_without_a_price_goes_before_one_with_a_price() -> None:
    j = job([part(qty=2)], [board("priced"), replace(board("found"), cost=None), replace(board("large", 90, 9), cost=None)])
    plan = plan_job(j, seconds=600, steps=10).plan
    assert not check(j, plan)
    assert [b.board for b in plan.boards] == ["found"]
    assert plan.totals.bound is not None
    assert plan.totals.bound <= plan.totals.net_cost == 0.0
