"""Choosing a path along each board by labels, held to every choice of paths gone through one by one."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise, product
from math import inf
from random import Random
from types import SimpleNamespace
from typing import Any, cast

import pytest

from yieldopt.planning.demand.ranges import Count
from yieldopt.planning.demand.rows import Row
from yieldopt.planning.layouts.arcs import Arc, tracks
from yieldopt.planning.master import paths
from yieldopt.planning.master.pathprices import path_prices
from yieldopt.planning.master.paths import cheapest
from yieldopt.planning.master.restrict import Demand

PENALTY = 60.0


class Problem:
    """A few boards with arcs drawn by chance; of three rows the last two are a group that one board must give whole."""

    def __init__(self, seed: int, grouped: bool) -> None:
        rng = Random(seed)
        self.need = [float(rng.randint(1, 4)) for _ in range(3)]
        self.rows = tuple(
            Row("piece", (r,), Fraction(int(n)), Fraction(1), "pair" if grouped and r else None, grouped and r > 0)
            for r, n in enumerate(self.need)
        )
        self.stocks = cast(Any, [SimpleNamespace(cost=Fraction(rng.randint(3, 30)), idle_credit=Fraction(0)) for _ in range(3)])
        self.arcs = []
        for i in range(3):
            for _ in range(rng.randint(2, 6)):
                start = rng.randint(0, 6)
                gives = {r: float(rng.randint(1, 3)) for r in rng.sample(range(3), rng.randint(0, 2))}
                ends = (-inf, inf) if rng.random() < 0.15 else (float(start), float(start + rng.randint(1, 4)))
                arc = Arc(i, *ends, tuple(sorted(gives.items())), round(rng.uniform(0, 3), 2), cast(Any, None))
                self.arcs.append(arc)
        self.demand = Demand(self.rows, (Count(),) * 3, PENALTY, {"pair": range(3)} if grouped else {})

    def value(self, chosen: tuple[Arc, ...]) -> float:
        """Money of a choice, with the penalty for what is missing."""
        cost = sum(float(self.stocks[i].cost) for i in {a.stock for a in chosen}) - sum(a.credit for a in chosen)

        def short(rows: list[int], boards: tuple[int, ...]) -> float:
            given = [sum(dict(a.gives).get(r, 0.0) for a in chosen if a.stock in boards) for r in rows]
            return sum(max(0.0, self.need[r] - g) for r, g in zip(rows, given, strict=True))

        together = [r for r, row in enumerate(self.rows) if row.one_board]
        alone = [r for r in range(3) if r not in together]
        return cost + PENALTY * (short(alone, (0, 1, 2)) + min(short(together, (i,)) for i in range(3)))

    def layouts(self, stock: int) -> list[tuple[Arc, ...]]:
        """Every path along one board."""
        found: list[tuple[Arc, ...]] = [()]
        for a in sorted((a for a in self.arcs if a.stock == stock), key=lambda a: a.start):
            found += [(*p, a) for p in found if not p or (p[-1].end <= a.start and a.start > -inf)]
        return found

    def best(self) -> float:
        return min(self.value(sum(some, ())) for some in product(*(self.layouts(i) for i in range(3))))

    def found(self, known: float, effort: float = 1.0) -> tuple[tuple[Arc, ...], bool]:
        result = cheapest(self.arcs, tracks(self.arcs), self.need, self.demand, self.stocks, known, effort)
        return tuple(self.arcs[k] for k in result.arcs), result.proven


@pytest.mark.parametrize("grouped", [False, True])
@pytest.mark.parametrize("seed", range(60))
def test_the_choice_is_the_cheapest_of_all(seed: int, grouped: bool) -> None:
    problem = Problem(seed, grouped)
    best = problem.best()
    chosen, proven = problem.found(1e6)
    assert proven
    assert problem.value(chosen) == pytest.approx(best)
    ordered = sorted(chosen, key=lambda a: (a.stock, a.start))
    assert all(a.stock < b.stock or a.end <= b.start for a, b in pairwise(ordered))
    # Nothing is cheaper than the cheapest, and that is known too.
    assert problem.found(best) == ((), True)


@pytest.mark.parametrize("seed", range(30))
def test_prices_never_promise_more_than_the_cheapest(seed: int) -> None:
    problem = Problem(seed, seed % 2 == 1)
    prices = path_prices(problem.arcs, tracks(problem.arcs), problem.need, problem.demand, problem.stocks)
    assert prices is not None
    assert prices.value <= problem.best() + 1e-6


def test_too_few_labels_prove_nothing_but_find_no_wrong_choice(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(paths, "WIDTHS", (1,))
    unproven = 0
    for seed in range(40):
        problem = Problem(seed, seed % 2 == 1)
        best = problem.best()
        chosen, proven = problem.found(1e6)
        unproven += not proven
        assert problem.value(chosen) >= best - 1e-6 if chosen or not proven else best >= 1e6
        assert not proven or problem.value(chosen) == pytest.approx(best)
    assert unproven > 0
