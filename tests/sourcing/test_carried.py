"""Few planned draws carried over to many quick ones, on figures whose answer is known."""

from __future__ import annotations

import random
import statistics

import pytest

from yieldopt.sourcing.ways.carried import Pair, carried, carried_pair, carried_turning
from yieldopt.sourcing.ways.turning import Cost


def test_a_saving_that_is_the_same_on_every_draw_is_carried_exactly() -> None:
    quick = [60.0, 180.0, 120.0, 110.0, 130.0]
    planned = [q - 10 for q in quick[:3]]
    found = carried(planned, quick[:3], quick)
    assert found.value == statistics.fmean(quick) - 10
    assert found.over == 5
    assert found.error == pytest.approx(statistics.stdev(quick) / 5**0.5)


def test_unlike_figures_are_not_carried() -> None:
    """Where plans and quick layouts have nothing to do with one another, the planned draws alone are surer."""
    found = carried([100.0, 101.0, 102.0], [10.0, 400.0, 90.0], [10.0, 400.0, 90.0, 250.0, 30.0])
    assert (found.value, found.over) == (101.0, 0)
    assert carried([100.0, 101.0], [99.0, 100.0], [99.0, 100.0, 120.0]).over == 0  # too few


def test_the_error_is_the_spread_of_the_estimate() -> None:
    """The standard error told is, on average, the standard deviation over many repetitions (from the definition)."""
    rng = random.Random(1)
    values, errors = [], []
    for _ in range(600):
        quick = [rng.gauss(200, 30) for _ in range(40)]
        planned = [q - 20 + rng.gauss(0, 8) for q in quick[:8]]
        found = carried(planned, quick[:8], quick)
        values.append(found.value)
        errors.append(found.error or 0.0)
    assert statistics.fmean(values) == pytest.approx(180, abs=1.0)
    assert statistics.stdev(values) == pytest.approx(statistics.fmean(errors), rel=0.2)


def test_break_even_carried_over() -> None:
    """Plans cost a tenth less than quick layouts either way: thin 90, thick 60 at today's price, it turns at 1.5 times that."""
    rng = random.Random(2)
    spread = [rng.uniform(0.8, 1.2) for _ in range(30)]
    every = [Pair(Cost(100 * x, 0), Cost(0, 66.0 + 2 / 3)) for x in spread]
    planned = [Pair(Cost(p.thin.fixed - 10, 0), Cost(0, p.thick.thick - 6 - 2 / 3)) for p in every[:5]]
    whole = carried_pair(planned, every[:5], every)
    found = carried_turning(planned, every[:5], every)
    assert found is not None
    assert found[0] == pytest.approx(whole.thin.fixed / whole.thick.thick)
    assert found[0] == pytest.approx(1.5, abs=0.1)
    few = carried_turning(planned, every[:5], every[:12])
    assert few is not None
    assert found[1] < few[1]  # more quick draws, less error
