"""Boards and parts that have nothing to do with each other are planned each by themselves; costs and bounds add up."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest
from bench.families import mixed, plain

from yieldopt.planning import plan_job
from yieldopt.planning.pricing.context import Context, prepare
from yieldopt.planning.pricing.sections import Shape
from yieldopt.planning.wood.components import Component
from yieldopt.wood.lumber import Job


def context_of(job: Job) -> Context:
    with ThreadPoolExecutor(2) as executor:
        return prepare(job, executor, Shape(), Shape())


def two_species(seed: int) -> tuple[Job, Job, Job]:
    """Two jobs in two species, and both as one."""
    one = plain(seed, 3, 3, 6)
    other = plain(seed + 50, 3, 3, 6)
    other = replace(
        other,
        boards=tuple(replace(b, name="A" + b.name, species="ash") for b in other.boards),
        parts=tuple(replace(p, name="A" + p.name, species="ash") for p in other.parts),
    )
    return one, other, replace(one, boards=one.boards + other.boards, parts=one.parts + other.parts)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_no_board_and_no_row_is_in_two(seed: int) -> None:
    context = context_of(mixed(seed))
    parts = context.components()
    stocks = [i for c in parts for i in c.which]
    rows = [r for c in parts for r, need in enumerate(c.need) if need]
    assert len(stocks) == len(set(stocks))
    assert sorted(rows) == list(range(len(context.rows)))
    # Three species, so three components at least.
    assert len(parts) >= 3
    for c in parts:
        for i in c.which:
            for k in context.engine.loose[i].cells.items:
                assert all(c.need[r] for r, _ in context.items[k].gives)


def test_a_group_stays_together_where_no_board_can_give_it() -> None:
    job = plain(1, 2, 2, 4)
    parts = tuple(replace(p, species="teak", match="frame", match_kind="board") for p in job.parts)
    context = context_of(replace(job, parts=parts))
    assert [Component(tuple(r for r, n in enumerate(c.need) if n), tuple(c.which)) for c in context.components()] == [
        Component((0, 1), ())
    ]


@pytest.mark.parametrize("seed", [1, 4])
def test_costs_and_bounds_add_up(seed: int) -> None:
    one, other, both = (plan_job(j, seconds=600, steps=30, until_gap=0.01).plan for j in two_species(seed))
    assert both.complete == (one.complete and other.complete)
    if both.complete:
        assert both.totals.bound is not None
        assert one.totals.bound is not None
        assert other.totals.bound is not None
        assert both.totals.bound <= one.totals.net_cost + other.totals.net_cost + 1e-6
        assert both.totals.net_cost >= one.totals.bound + other.totals.bound - 1e-6
