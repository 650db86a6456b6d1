"""Sections of several layouts put together anew: never dearer than the layouts they come from, and never overlapping."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import pairwise, product
from random import Random

import numpy as np
import pytest
from bench.families import plain

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Column, Pool
from yieldopt.planning.master.recombine import recombine
from yieldopt.planning.master.restrict import evaluate
from yieldopt.planning.pricing.context import Context, prepare
from yieldopt.planning.pricing.sections import Shape


def some_columns(seed: int, boards: int, each: int) -> tuple[Context, list[Column]]:
    """Layouts of every board at prices drawn by chance."""
    rng = Random(seed)
    with ThreadPoolExecutor(1) as executor:
        context = prepare(plain(seed, boards, 4, 3 * boards), executor, Shape(), Shape())
        pool = Pool(boards)
        for _ in range(each):
            values = np.array([rng.uniform(0, 5) for _ in context.rows])
            for p in context.engine.price(range(boards), [values] * boards, [()] * boards, False, Deadline(60)):
                pool.add(p.column)
    return context, [k for i in range(boards) for k in pool.of(i)]


@pytest.mark.parametrize("seed", range(6))
def test_never_dearer_than_the_best_whole_choice(seed: int) -> None:
    context, columns = some_columns(seed, 2, 4)
    by_stock = [[None, *(k for k in columns if k.stock == i)] for i in range(2)]
    whole = min(
        (evaluate([k for k in some if k is not None], context.need, context.demand) for some in product(*by_stock)),
        key=lambda c: c.value,
    )
    found = recombine(columns, context.need, context.demand, context.stocks, context.items, 10_000, 20.0, 20.0)
    assert found is not None
    assert found.value <= whole.value + 1e-3


@pytest.mark.parametrize("seed", range(6))
def test_sections_do_not_overlap_and_add_up(seed: int) -> None:
    context, columns = some_columns(seed, 3, 5)
    found = recombine(columns, context.need, context.demand, context.stocks, context.items, 10_000, 20.0, 5.0)
    assert found is not None
    for k in found.columns:
        sections = k.layout.sections
        assert all(a.end <= b.start for a, b in pairwise(sections))
        if sections:
            stock = context.stocks[k.stock]
            assert float(sum(s.credit_area for s in sections) * stock.density) == pytest.approx(float(k.layout.credit(stock)))
            assert sum(len(s.placed) for s in sections) == len(k.layout.placed)
    assert len({k.stock for k in found.columns}) == len(found.columns)


@pytest.mark.parametrize("seed", range(6))
def test_of_layouts_without_known_sections_a_board_takes_one(seed: int) -> None:
    context, columns = some_columns(seed, 2, 4)
    unknown = [replace(k, stretches=()) for k in columns]
    by_stock = [[None, *(k for k in unknown if k.stock == i)] for i in range(2)]
    best = min(evaluate([k for k in some if k is not None], context.need, context.demand).value for some in product(*by_stock))
    found = recombine(unknown, context.need, context.demand, context.stocks, context.items, 10_000, 20.0, 20.0)
    assert found is not None
    assert len({k.stock for k in found.columns}) == len(found.columns)
    assert found.value == pytest.approx(best, abs=1e-2)


def test_a_pool_apart_keeps_its_news_until_they_are_merged() -> None:
    _, columns = some_columns(1, 2, 4)
    pool = Pool(2)
    first, *rest = columns
    pool.add(first)
    apart = pool.apart()
    assert not apart.add(first)
    for k in rest:
        apart.add(k)
    assert {id(k) for i in range(2) for k in apart.of(i)} == {id(k) for k in columns}
    assert [k for i in range(2) for k in pool.of(i)] == [first]
    pool.merge(apart)
    assert {id(k) for i in range(2) for k in pool.of(i)} == {id(k) for k in columns}
