"""What was found by trial is handed in: it reaches the search, and nonsense is refused."""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields
from pathlib import Path
from random import Random

import pytest
from bench.families import plain

import yieldopt.planning
from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Pool
from yieldopt.planning.master.programme import Master
from yieldopt.planning.master.restrict import evaluate
from yieldopt.planning.pricing.context import prepare
from yieldopt.planning.pricing.sections import Shape
from yieldopt.planning.search.neighbourhood import Neighbourhoods
from yieldopt.planning.tuning import (
    USUAL,
    Cared,
    Completing,
    Conflicts,
    Crowding,
    Dense,
    Diving,
    Effort,
    Ending,
    Freeing,
    Generating,
    Nodes,
    Pricing,
    Scale,
    Spreading,
    Steering,
    StripRoom,
    Tidying,
    Trying,
    Tuning,
    Turns,
    Unused,
)


@pytest.mark.parametrize("at_once", [1, 3])
def test_as_many_neighbourhoods_are_drawn_as_were_asked_for(at_once: int) -> None:
    with ThreadPoolExecutor(1) as executor:
        c = prepare(plain(3, 2, 3, 6), executor, Shape(), Shape(), tuning=Tuning(freeing=Freeing(at_once=at_once)))
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
    [
        (Nodes, {"sharp": 2.0}), (Nodes, {"rounding": 0.0}), (Diving, {"portion": -1.0}),
        (Completing, {"most_boards": 0}), (Generating, {"dearer": 1.0}),
        (Generating, {"most_for_group": 0}), (Steering, {"whole_every": 0}),
        (Steering, {"quick_sharp": 2.0}), (Steering, {"patience": 0}), (Steering, {"rough": 0.5}), (Turns, {"least": 0.6}),
        (Dense, {"share": 1.1}), (Dense, {"tries": ((0.1, 0.0),)}), (Dense, {"few": (3, 2)}), (Scale, {"large": 0.0}),
        (Scale, {"few_stocks": 50}), (Pricing, {"pair_width": 1.1}), (Pricing, {"narrow": 2.0}), (Spreading, {"ahead": 0}),
        (Cared, {"far_enough": 0.0}), (Tidying, {"most_strips": 0}), (StripRoom, {"effort": -1.0}), (Ending, {"after": 1.5}),
        (Conflicts, {"most_tests": -1}), (Crowding, {"dear": 1.0}), (Unused, {"hair": 2.0}), (Trying, {"most_widths": 1}),
    ],
)  # fmt: skip
def test_so_it_is_for_all_the_others(kind: type, wrong: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=str(next(iter(wrong)))):
        kind(**wrong)


def test_every_figure_can_be_handed_in_and_is_used() -> None:
    """A figure that is named nowhere outside its object would be varied in vain."""
    planning = Path(yieldopt.planning.__file__).parent
    used = "\n".join(f.read_text(encoding="utf-8") for f in planning.rglob("*.py") if f.parent.name != "tuning")
    for part in fields(Tuning):
        for figure in fields(getattr(USUAL, part.name)):
            assert re.search(rf"\.{figure.name}\b", used), f"{part.name}.{figure.name} is used nowhere"


def test_an_effort_is_more_than_none() -> None:
    with pytest.raises(ValueError, match="rounds"):
        Effort(7, 0, 4, 0.2)
    with pytest.raises(ValueError, match="effort"):
        Effort(7, 5, 0, 0.0)
