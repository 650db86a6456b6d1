"""The compiled pricing step against plain recursion, on random small boards: worth, and a layout that has it."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from fractions import Fraction as F
from random import Random

import numpy as np
import pytest
from slow_pricing import best_worth

from yieldopt.planning.pricing.context import prepare
from yieldopt.planning.pricing.sections import Shape
from yieldopt.wood.lumber import Board, Defect, EdgePoint, Job, Kerf, Machines, Part, Shop, Values


def small_job(rng: Random) -> Job:
    """One short board with a defect or two, perhaps an outline or crook, and a machine that takes short blanks.

    Sizes are such that the grid is coarse (1/8 in) and the board some 60 by 20 cells.
    """
    shop = Shop(
        kerf=Kerf(F(1, 8), F(1, 8), F(1, 8)),
        machines=Machines(min_mill_length=F(1), min_rip_width=F(1, 4)),
        values=Values(F(3, 2), F(1, 2), F(3, 5)),
    )
    length, width = F(rng.randint(40, 56), 8), F(rng.randint(12, 20), 8)
    marks = [
        Defect(rng.choice(("check", "worm", "split")), "both", F(rng.randint(0, 32), 8), F(rng.randint(0, 8), 8),
               F(rng.randint(1, 8), 8), F(rng.randint(1, 4), 8))
        for _ in range(rng.randint(0, 2))
    ]
    shape = rng.choice(("flat", "crook", "outline"))
    edges = ()
    if shape == "outline":
        edges = (EdgePoint(F(0), F(0), width), EdgePoint(length, F(rng.randint(0, 3), 8), width - F(rng.randint(0, 3), 8)))
    board = Board(
        "B", "oak", "4/4", F(1), length, width, F(1), cost=F(10), datum_sound=True, far_sound=True, defects=tuple(marks),
        crook=F(1, 4) if shape == "crook" else F(0), edges=edges,
    )
    parts = tuple(
        Part(f"P{k}", 2, "oak", F(3, 4), F(rng.randint(3, 9), 8), F(rng.randint(6, 20), 8)) for k in range(rng.randint(1, 3))
    )
    return Job("small", "in", parts, (board,), shop)


@pytest.mark.parametrize("seed", range(24))
def test_compiled_against_plain_recursion(seed: int) -> None:
    rng = Random(seed)
    job = small_job(rng)
    with ThreadPoolExecutor(1) as executor:
        context = prepare(job, executor, Shape(), Shape())
    pricer = context.engine.full[0]
    values = np.array([rng.choice((0.0, 1.0, 1.0, 1.0)) * rng.uniform(0.5, 4.0) for _ in context.items])
    density = rng.choice((0.0, 0.3))
    caps = tuple((r, rng.randint(1, 2)) for r in range(min(2, len(context.rows))) if rng.random() < 0.7)
    best = best_worth(pricer, list(values), density, caps)
    # The search counts worths in sixteen bits and may underrate a layout by a thousandth, never overrate it.
    for up, least, most in ((True, best, best * (1 + 1e-5)), (False, best * (1 - 1e-3), best)):
        priced = pricer.price(values, density, caps, up, rip=False)
        worth, layout = priced.worth, priced.layout
        assert least - 1e-5 <= worth <= most + 1e-5
        got = sum(values[p.item] for p in layout.placed) + density * sum(float(o.length * o.width) for o in layout.offcuts)
        assert got == pytest.approx(worth, rel=1e-5 if up else 1e-3, abs=1e-5)
        used = layout.gives(context.items)
        assert all(used.get(r, 0) <= cap for r, cap in caps)


@pytest.mark.parametrize("seed", range(24))
def test_a_layout_is_worth_what_is_said(seed: int) -> None:
    """Whichever cut comes first: items at their values and offcuts by area add up to the worth."""
    rng = Random(500 + seed)
    with ThreadPoolExecutor(1) as executor:
        context = prepare(small_job(rng), executor, Shape(), Shape())
    values = np.array([rng.uniform(0.5, 4.0) for _ in context.items])
    density = rng.choice((0.1, 0.3))
    pricer = context.engine.full[0]
    for up in (False, True):
        priced = pricer.price(values, density, (), up)
        offcuts = priced.layout.offcuts
        assert all(o.length > 0 and o.width > 0 for o in offcuts)
        got = sum(values[p.item] for p in priced.layout.placed) + density * sum(float(o.length * o.width) for o in offcuts)
        assert got == pytest.approx(priced.worth, rel=1e-5 if up else 1e-3, abs=1e-5)
        assert priced.worth >= pricer.price(values, density, (), up, rip=False).worth - 1e-9


@pytest.mark.parametrize("seed", range(12))
def test_the_loose_reading_is_never_worth_less(seed: int) -> None:
    """Sizes off the grid: rounding up can't be worth more than rounding down; the bound rests on it."""
    rng = Random(100 + seed)
    job = small_job(rng)
    odd = tuple(
        replace(p, width=p.width + F(rng.randint(0, 7), 67), length=p.length + F(rng.randint(0, 7), 61)) for p in job.parts
    )
    with ThreadPoolExecutor(1) as executor:
        context = prepare(Job("odd", "in", odd, job.boards, job.shop), executor, Shape(), Shape())
    values = np.array([rng.uniform(0.5, 4.0) for _ in context.items])
    tight = context.engine.full[0].price(values, 0.3, rip=False).worth
    loose = context.engine.loose[0].price(values, 0.3, (), True, rip=False).worth
    assert loose >= tight - 1e-9
