"""Exact figures with hostile denominators, sizes and prices: what the reader takes is planned and passes the check."""

from __future__ import annotations

import os
from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yieldopt.planned.checked import plan_checked
from yieldopt.planning.demand.ranges import MOST_UNITS, Count, counted, fewer_cells, whole_numbers
from yieldopt.planning.guillotine.model import Sheet
from yieldopt.planning.layouts.staves import assign
from yieldopt.planning.master.restrict import Demand, supply
from yieldopt.wood.lumber import Allowances, Board, Defect, EdgePoint, Job, Kerf, Part, Shop
from yieldopt.workers.serial import Serial

LONG = os.environ.get("YIELDOPT_TESTS") == "long"
# Inches, millimetres in an inch job, thirds, sevenths, and the decimals of a spreadsheet's float; the finest that is read.
DENOMINATORS = (1, 2, 3, 7, 13, 64, 127, 254, 1270, 10**6, 99_991, 3**12, 10**15 + 37, 10**21)


def odd(low: float, high: float) -> st.SearchStrategy[F]:
    """Lengths between these, in inches, each with a denominator of its own."""
    return st.builds(
        lambda d, share: F(low) + F(round((F(high) - F(low)) * d * share), d),
        st.sampled_from(DENOMINATORS),
        st.fractions(0, 1, max_denominator=64),
    )


@st.composite
def hostile_jobs(draw: st.DrawFn) -> Job:
    """Jobs of two boards and a few parts, staves among them, on which no two figures share a grid."""
    long, price = draw(st.sampled_from([(60, 30), (90, 40), (480, 90)])), draw(st.sampled_from([F(0), F(7, 3), F(10**9)]))
    shop = Shop(
        Allowances(board_end=draw(odd(0, 2)), edge=draw(odd(0, 0.3)), end=draw(odd(0, 0.6)), defect_along=draw(odd(0, 1))),
        Kerf(draw(odd(0.03, 0.2)), draw(odd(0.03, 0.2)), draw(odd(0.03, 0.1))),
    )
    boards = []
    for name in ("A", "B"):
        length, width = draw(odd(*sorted((long[1], long[0])))), draw(odd(5, 12))
        flaw = Defect("knot", "both", draw(odd(2, 20)), draw(odd(0, 3)), draw(odd(0.1, 2)), draw(odd(0.1, 1)))
        edges = (EdgePoint(draw(odd(1, 9)), draw(odd(-0.5, 0.5)), width), EdgePoint(length, F(0), width - draw(odd(0, 1))))
        edges = draw(st.sampled_from([(), edges]))
        boards.append(Board(name, "oak", "4/4", F(1), length, width, F(1), cost=price, defects=(flaw,), edges=edges))
    parts = []
    for k in range(draw(st.integers(1, 3))):
        width, staves = draw(odd(1, 5)), None
        if draw(st.booleans()):
            net = (width + 2 * shop.allowances.edge) / 3
            staves = (net * draw(odd(0.5, 1)), net * draw(odd(1, 2)))
        parts.append(Part(f"p{k}", draw(st.integers(1, 3)), "oak", F(3, 4), width, draw(odd(9, 20)), staves=staves))
    return Job("hostile", "in", tuple(parts), tuple(boards), shop)


@settings(max_examples=300 if LONG else 8, deadline=None)
@given(hostile_jobs())
def test_figures_without_a_common_grid_are_planned(job: Job) -> None:
    plan_checked(job, seconds=600, steps=3, executor=Serial())


def test_staves_in_thirds_beside_millimetres() -> None:
    """Net widths whose common denominator passes 32 bits as soon as a few of them meet."""
    third = F(7, 3) * F(127, 128)
    shop = Shop(Allowances(edge=F(1, 127) + F(1, 11)), Kerf(F(1, 8), F(1, 8), F(1, 16)))
    top = Part("top", 3, "oak", F(3, 4), 3 * third, F(20), staves=(third * F(9, 13), third * F(31, 29)))
    lid = Part("lid", 2, "oak", F(3, 4), F(5), F(17), staves=(F(10, 9), F(19, 7)))
    rail = Part("rail", 5, "oak", F(3, 4), F(2), F(23))
    sizes = enumerate("ABCDEF")
    boards = tuple(Board(b, "oak", "4/4", F(1), F(50 + 9 * k), F(6 + k), F(1), cost=F(20 + 3 * k)) for k, b in sizes)
    job = Job("thirds", "in", (top, lid, rail), boards, shop)
    assert plan_checked(job, seconds=600, steps=4, executor=Serial()).plan.complete


@given(st.lists(odd(0.01, 9), min_size=1, max_size=12), odd(1, 40), st.integers(1, 400))
def test_what_counts_as_enough_is_enough(given_: list[F], whole: F, copies: int) -> None:
    count = counted(copies * whole, whole, given_)
    wanted = count.wanted(float(copies * whole))
    assert 0 < wanted <= MOST_UNITS
    assert all(0 <= count.given(float(g)) <= MOST_UNITS for g in given_)
    total = sum(count.given(float(g)) for g in given_)
    if total >= count.wanted(float(whole)):
        # To a thousandth of what the planner takes for nothing.
        assert sum(given_) >= whole * (1 - F(1, 10**12))
    if copies <= 100:
        # Equal shares of a part come out even however odd the part is.
        assert all(n * count.given(float(whole / n)) >= count.wanted(float(whole)) for n in (1, 2, 3, 4, 6, 7, 12))


@given(st.lists(odd(0.01, 9), min_size=1, max_size=12), odd(1, 20))
def test_staves_that_are_shared_out_are_wide_enough(nets: list[F], whole: F) -> None:
    widths, wanted = whole_numbers(nets, whole)
    assert max(widths) <= MOST_UNITS
    assert 0 < wanted <= MOST_UNITS
    for used in assign(nets, whole, 3):
        assert sum(nets[k] for k in used) >= whole


@given(odd(1, 10_000), odd(1, 10_000))
def test_a_board_of_any_size_has_cells_that_memory_holds(length: F, width: F) -> None:
    step = F(1, 16)
    times = fewer_cells(length, width, step, step)
    assert (length / (step * times)) * (width / (step * times)) <= 4_000_000
    assert times == 1 or length * width > 1_000_000 / 256


def test_money_beyond_any_rack_still_gives_a_choice() -> None:
    """A board at the dearest price that is read, beside a hundred like it."""
    boards = tuple(Board(f"B{n}", "oak", "4/4", F(1), F(60), F(8), F(1), cost=F(10**9)) for n in range(30))
    job = Job("dear", "in", (Part("rail", 40, "oak", F(3, 4), F(3), F(50)),), boards)
    plan = plan_checked(job, seconds=600, steps=8, executor=Serial()).plan
    assert plan.complete
    assert plan.totals.boards_cut == 20


def test_going_short_costs_what_it_should_in_the_finest_units() -> None:
    """A row counted so finely that a unit of it is worth less than the solver's whole numbers."""
    from ortools.sat.python import cp_model

    from yieldopt.planning.demand.rows import Row

    row = Row("piece", (0,), F(10), F(1, 10))
    demand = Demand((row,), (Count(1e8),), 50.0, {})
    model = cp_model.CpModel()
    taken = model.new_bool_var("")
    lost = supply(model, [(taken, 0, ((0, 4.0),))], [10.0], demand, 10_000.0)
    model.minimize(lost)
    solver = cp_model.CpSolver()
    assert solver.solve(model) == cp_model.OPTIMAL
    # Six of ten units, a tenth of a part each.
    assert solver.objective_value == pytest.approx(0.6 * 50 * 10_000, rel=1e-3)


def test_a_sheet_beyond_the_engine_is_refused_in_words() -> None:
    with pytest.raises(ValueError, match="at most"):
        Sheet(10**12, 100)
