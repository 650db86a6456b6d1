"""What was found by trial is handed in: it reaches the search, and nonsense is refused."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from random import Random

import pytest
from bench.families import plain

from yieldopt.deadline import Deadline
from yieldopt.planning.layouts.columns import Pool
from yieldopt.planning.master.programme import Master
from yieldopt.planning.master.restrict import evaluate
from yieldopt.planning.pricing.context import prepare
from yieldopt.planning.pricing.sections import Shape
from yieldopt.planning.search.neighbourhood import Neighbourhoods
from yieldopt.planning.tuning import Branching, Completing, Diving, Effort, Freeing, Tuning


@pytest.mark.parametrize("at_once", [1, 3])
def test_as_many_neighbourhoods_are_drawn_as_were_asked_for(at_once: int) -> None:
    with ThreadPoolExecutor(1) as executor:
        c = replace(prepare(plain(3, 2, 3, 6), executor, Shape(), Shape()), tuning=Tuning(Freeing(at_once=at_once)))
        prices = Master(c.rows, c.need, c.stocks, c.which, c.penalty, c.demand.homes, c.short).solve()
        assert prices is not None
        hoods = Neighbourhoods(c, Pool(len(c.stocks)), Random(0), Deadline(60), prices, {}, c.short, soon=True)
        try:
            found = hoods.step(evaluate((), c.need, c.demand))
        finally:
            hoods.close()
    assert hoods.tried == at_once
    assert found.columns


@pytest.mark.parametrize(
    ("wrong", "named"),
    [({"guided": 1.5}, "guided"), ({"even": -0.1}, "even"), ({"at_once": 0}, "at_once"), ({"fewest": 9}, "fewest"),
     ({"choosing_seconds": 0.0}, "some time")],
)
def test_nonsense_is_refused(wrong: dict[str, float], named: str) -> None:
    with pytest.raises(ValueError, match=named):
        Freeing(**wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "wrong"),
    [(Branching, {"sharp": 2.0}), (Branching, {"rounding": 0.0}), (Diving, {"portion": -1.0}), (Completing, {"most_boards": 0})],
)
def test_so_it_is_for_branching_diving_and_completing(kind: type, wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=str(next(iter(wrong)))):
        kind(**wrong)


def test_an_effort_is_more_than_none() -> None:
    with pytest.raises(ValueError, match="rounds"):
        Effort(7, 0, 4, 0.2)
    with pytest.raises(ValueError, match="effort"):
        Effort(7, 5, 0, 0.0)
