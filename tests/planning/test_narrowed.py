"""Pricing a few wanted items by themselves finds the same as pricing them among all; going short begins cheap and ends dear."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from bench.families import plain

from yieldopt.planning.master.programme import Master
from yieldopt.planning.pricing.context import prepare
from yieldopt.planning.pricing.sections import SectionPricer, Shape
from yieldopt.planning.tuning import USUAL
from yieldopt.workers.serial import Serial


@pytest.mark.parametrize("seed", range(6))
def test_few_wanted_items_priced_by_themselves(seed: int) -> None:
    rng = random.Random(seed)
    c = prepare(plain(seed, 2, 8, 20), Serial(), Shape(), Shape())
    for pricer, up in zip((c.engine.full[0], c.engine.loose[0]), (False, True), strict=True):
        items = pricer.cells.items
        wanted = rng.sample(items, max(1, int(USUAL.pricing.narrow * len(items)) - 1))
        values = np.zeros(len(c.items))
        for k in wanted:
            values[k] = rng.uniform(0.5, 1.0) * float(c.items[k].length * c.items[k].width) / 20
        density = float(c.stocks[0].density)
        found = pricer.price(values, density, (), up)
        # A hair's worth on the others: they are looked at, and never pay.
        among_all = np.where(values > 0, values, 1e-12)
        whole = pricer.price(among_all, density, (), up)
        assert found.worth == pytest.approx(whole.worth, rel=1e-3)
        assert {p.item for p in found.layout.placed} <= set(wanted)


def test_quick_pricing_of_few_items_is_never_better_than_full() -> None:
    c = prepare(plain(3, 3, 8, 20), Serial(), Shape(), Shape(pair_reach=1.0, rip=False, any_length=False))
    values = np.zeros(len(c.items))
    values[: len(c.items) // 3] = 2.0
    for i in c.which:
        density = float(c.stocks[i].density)
        full, quick = c.engine.full[i].price(values, density), c.engine.quick[i].price(values, density)
        assert quick.worth <= full.worth * (1 + 1e-3)


def test_only_some_items_keep_their_own_places() -> None:
    cells = prepare(plain(1, 1, 8, 20), Serial(), Shape(), Shape()).engine.full[0].cells
    keep = np.arange(0, len(cells.items), 2)
    few = cells.only(keep)
    assert few.items == tuple(cells.items[k] for k in keep)
    for n, k in enumerate(keep):
        of_few = (few.ground.item_length[n], few.ground.item_width[n], few.ground.length_class[n])
        assert of_few == (cells.ground.item_length[k], cells.ground.item_width[k], cells.ground.length_class[k])
        ours = few.ground.blocks[few.ground.block_start[n] : few.ground.block_start[n + 1]]
        theirs = cells.ground.blocks[cells.ground.block_start[k] : cells.ground.block_start[k + 1]]
        assert np.array_equal(ours, theirs)


def test_going_short_becomes_dearer_until_it_costs_the_penalty() -> None:
    c = prepare(plain(1, 2, 3, 6), Serial(), Shape(), Shape())
    # No layout is known: everything is missing.
    master = Master(c.rows, c.need, c.stocks, c.which, c.penalty, c.demand.homes, c.short)
    values = []
    while True:
        solution = master.solve()
        assert solution is not None
        values.append(solution.value)
        if not master.raise_short(2.0):
            break
    whole = sum(c.penalty * float(r.finished) * need for r, need in zip(c.rows, c.need, strict=True))
    assert values == sorted(values)
    assert values[0] < whole / 2
    assert values[-1] == pytest.approx(whole)


def test_what_going_short_costs_at_first_follows_the_wood() -> None:
    job = plain(1, 3, 4, 10)
    dear = replace(job, boards=tuple(replace(b, price_bf=2 * b.price_bf) for b in job.boards))
    shapes = (Serial(), Shape(), Shape())
    cheap, twice = prepare(job, *shapes).short, prepare(dear, *shapes).short
    assert twice == pytest.approx([2 * s for s in cheap])


def test_a_narrowed_pricer_is_kept() -> None:
    pricer = prepare(plain(1, 1, 8, 20), Serial(), Shape(), Shape()).engine.full[0]
    wanted = np.zeros(len(pricer.cells.items), np.bool_)
    wanted[0] = True
    assert isinstance(pricer.narrowed(wanted), SectionPricer)
    assert pricer.narrowed(wanted) is pricer.narrowed(wanted.copy())
