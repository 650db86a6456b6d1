"""Layers whose piece is not wanted after all; each job is named after the one thing it exercises."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from yieldopt.checking import check
from yieldopt.planning.demand.items import build_items
from yieldopt.planning.demand.rows import build_rows
from yieldopt.planning.finish.assemble import board_plans
from yieldopt.planning.layouts.layout import Layout, Placed
from yieldopt.planning.solve import plan_job
from yieldopt.planning.wood.stock import whole_boards
from yieldopt.wood.lumber import Board, Defect, Job, Part


def thick(*defects: Defect) -> Board:
    return Board("T", "ash", "8/4", F(2), F(60), F(6), F(2), stress="tested", cost=F(40), defects=defects)


def slat(qty: int, faces: int = 2) -> Part:
    return Part("slat", qty, "ash", F(1, 2), F(3), F(20), faces=faces)  # type: ignore[arg-type]


def resawn_twice(job: Job) -> tuple[list[Layout], tuple]:
    """Two blanks of two layers each, though fewer than four pieces are wanted."""
    rows = build_rows(job)
    four = Job(job.name, job.units, (slat(4, job.parts[0].faces),), job.boards)
    items = build_items(four, build_rows(four))
    two = next(k for k, i in enumerate(items) if len(i.blanks[0].thicknesses) == 2)
    return [Layout(0, (Placed(two, F(2), F(0)), Placed(two, F(24), F(0))), ())], (rows, items)


@pytest.mark.parametrize(
    ("defects", "faces", "layers", "show"),
    [
        ((), 2, 1, None),
        ((Defect("knot", "A", F(30), F(1), F(1), F(1)),), 1, 1, "B"),
        ((Defect("knot", "B", F(30), F(1), F(1), F(1)),), 1, 1, "A"),
    ],
    ids=["clear", "knot above", "knot below"],
)
def test_a_layer_without_piece_is_not_sawn(defects: tuple[Defect, ...], faces: int, layers: int, show: str | None) -> None:
    job = Job("spare layer", "in", (slat(3, faces),), (thick(*defects),))
    layouts, (rows, items) = resawn_twice(job)
    (plan,), missing = board_plans(job, rows, items, whole_boards(job), layouts)
    assert not missing
    assert [b.layers for b in plan.blanks] == [2, layers]
    last = next(q for q in plan.pieces if q.blank == plan.blanks[1].blank)
    assert (last.layer, last.layers, last.show) == (1, layers, show)


def test_pieces_that_a_lost_layer_would_expose_are_given_up() -> None:
    """The opened face hid a knot from a piece with two clear faces; in one layer it would show."""
    job = Job("exposed", "in", (slat(3),), (thick(Defect("knot", "B", F(30), F(1), F(1), F(1))),))
    layouts, (rows, items) = resawn_twice(job)
    (plan,), missing = board_plans(job, rows, items, whole_boards(job), layouts)
    assert missing == {"slat": 1}
    assert [b.layers for b in plan.blanks] == [2]


@pytest.mark.parametrize("qty", [1, 2, 3, 4])
def test_odd_numbers_out_of_resawn_stock_pass_the_check(qty: int) -> None:
    job = Job("odd", "in", (slat(qty, 1),), (thick(Defect("knot", "B", F(30), F(1), F(1), F(1))),))
    plan = plan_job(job, seconds=600, steps=12).plan
    assert plan.complete
    assert not check(job, plan)


def test_a_layer_is_taken_over_from_a_blank_that_stays_clear_without_it() -> None:
    """One base too many, in two blanks of two layers: the one that hides the knot from the slat keeps its base, the other
    is sawn into one layer."""
    base = replace(slat(2, 0), name="base")
    job = Job("moved", "in", (slat(1), base), (thick(Defect("knot", "B", F(30), F(1), F(1), F(1))),))
    rows = build_rows(job)
    items = build_items(job, rows)
    layers = [[q.part for q in sorted(i.pieces, key=lambda q: q.layer)] for i in items]
    layouts = [Layout(0, (Placed(layers.index([1, 1]), F(2), F(0)), Placed(layers.index([0, 1]), F(24), F(0))), ())]
    (plan,), missing = board_plans(job, rows, items, whole_boards(job), layouts)
    assert not missing
    assert [(b.layers, len(b.pieces)) for b in plan.blanks] == [(1, 1), (2, 2)]


def test_a_spare_stave_of_a_resawn_blank_is_glued_in_as_well() -> None:
    """Three blanks of two layers for five staves: the sixth is sawn all the same, and nothing is given up."""
    knots = tuple(Defect("knot", "B", F(x), F(1), F(1), F(1)) for x in (8, 30, 52))
    board = replace(thick(*knots), length=F(90))
    job = Job("spare stave", "in", (Part("top", 1, "ash", F(1, 2), F(14), F(20), staves=(F(2), F(4))),), (board,))
    rows = build_rows(job)
    items = build_items(job, rows)
    need = rows[0].need
    two = next(k for k, i in enumerate(items) if len(i.blanks[0].thicknesses) == 2 and 5 * i.gives[0][1] / 2 >= need)
    assert 4 * items[two].gives[0][1] / 2 < need
    layouts = [Layout(0, tuple(Placed(two, F(x), F(0)) for x in (2, 24, 46)), ())]
    (plan,), missing = board_plans(job, rows, items, whole_boards(job), layouts)
    assert not missing
    assert sorted(q.piece for q in plan.pieces) == [f"top#1/{j}" for j in range(1, 7)]
    assert all(b.layers == 2 for b in plan.blanks)
