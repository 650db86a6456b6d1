"""Column generation: price, add what improves, until nothing does or the bound says enough."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import prod

import numpy as np

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Column, Pool
from yieldopt.planning.master.programme import Master, Solution
from yieldopt.planning.pricing.engine import Engine, Floats, OutOfTime, PricedColumn
from yieldopt.planning.pricing.sections import Counted
from yieldopt.planning.tuning import USUAL, Generating

# Improvements smaller than this share of the objective do not count.
TOLERANCE = 1e-6


@dataclass(frozen=True)
class Relaxed:
    """What column generation reached: the restricted optimum, and the solution whose prices promise the best bound."""

    solution: Solution
    sharpest: Solution
    converged: bool


def reduced_cost(solution: Solution, at: int, column: Column) -> float:
    """What one unit of the column adds to the objective; `at` is its stock's place in the master."""
    return _reduced(solution, at, column.cost, sum(solution.pi[at][r] * units for r, units in column.gives))


def _reduced(solution: Solution, at: int, cost: float, worth: float) -> float:
    """The same of a layout of this cost that gives so much at the solution's prices."""
    return float(cost - worth - solution.grant[at] + solution.sigma[at])


@dataclass(frozen=True)
class Proof:
    """A bound on the master, and what each stock not yet fixed adds to it: above zero, cutting the stock raises the bound
    by so much; below, leaving it does."""

    bound: float
    reduced: Mapping[int, float]

    def decided(self, cost: float) -> dict[int, int]:
        """Stocks that any solution cheaper than `cost` cuts (1) or leaves (0)."""
        return {i: int(rc < 0) for i, rc in self.reduced.items() if self.bound + abs(rc) >= cost}


def lagrangian(
    solution: Solution, worths: Mapping[int, float], master: Master, costs: Sequence[float], fixed: Mapping[int, int]
) -> Proof:
    """Bound on the master from prices: needs at their worth, less what the stocks are worth beyond their cost."""
    total = solution.wanted
    reduced: dict[int, float] = {}
    where = {i: k for k, i in enumerate(master.which)}
    for i, worth in worths.items():
        rc = costs[i] - worth - solution.grant[where[i]]
        state = fixed.get(i)
        if state == 1:
            total += rc
        elif state is None:
            total += min(0.0, rc)
            reduced[i] = rc
    return Proof(total, reduced)


class Counting:
    """Which rows each stock's pricing counts: those that its best layouts would use beyond the need."""

    def __init__(
        self, master: Master, most: int, tuned: Generating = USUAL.generating, work: Callable[[int], float] | None = None
    ) -> None:
        """`most`: combinations of counted copies on one stock, where neither group nor branch asks for more; fewer on a stock
        that takes long to price, if its `work` is told."""
        self.master, self.need, self.most, self.tuned, self._work = master, master.need, most, tuned, work
        self.whole = [n == int(n) and r.kind != "stave" for n, r in zip(master.need, master.rows, strict=True)]
        self.rows: dict[int, list[int]] = {}
        self._most: Mapping[tuple[int, int], int] = {}

    def within(self, most: Mapping[tuple[int, int], int]) -> Counting:
        """The same, where `most` caps the copies that some stocks may supply of some rows: (stock, row) -> copies. Each
        cap is counted once a layout breaks it."""
        inner = Counting(self.master, self.most, self.tuned, self._work)
        inner._most = most
        inner.rows = {i: list(counted) for i, counted in self.rows.items() if not any(k == i for k, _ in most)}
        return inner

    def of(self, stock: int) -> Counted:
        """The rows counted on a stock with the copies it may supply."""
        return tuple(sorted((r, self._cap(stock, r)) for r in self.rows.get(stock, ())))

    def _cap(self, stock: int, row: int) -> int:
        return self._most.get((stock, row), int(self.need[row]))

    def _room(self, stock: int, row: int) -> bool:
        """True where the table of a stock stays small enough with one more row; caps of branches may make it larger."""
        size = prod(cap + 1 for _, cap in self.of(stock)) * (self._cap(stock, row) + 1)
        if (stock, row) in self._most:
            return size <= self.tuned.most_for_branch
        return size <= self.most and (self._work is None or size * self._work(stock) <= self.tuned.counted_work or size == 1)

    def group(self, stock: int, group: str) -> None:
        """Count all rows of a group on a stock that must give the whole of it, if the table stays small enough."""
        rows = [
            r
            for r, row in enumerate(self.master.rows)
            if row.board_group == group and self.whole[r] and self.need[r] > 0
        ]
        if prod(int(self.need[r]) + 1 for r in rows) <= self.tuned.most_for_group:
            self.rows[stock] = sorted(rows)

    def add(self, column: Column) -> bool:
        """Count the row that the column oversteps most, if the table stays small enough; True where one was added."""
        i = column.stock
        counted = self.rows.get(i, ())
        over = [
            ((i, r) in self._most, units / max(self._cap(i, r), 0.5), -r)
            for r, units in column.gives
            if self.whole[r] and r not in counted and units > self._cap(i, r) + 1e-9 and self._room(i, r)
        ]
        if not over:
            return False
        self.rows.setdefault(i, []).append(-max(over)[2])
        return True

    def priced(
        self,
        which: Sequence[int],
        pi: Sequence[Floats],
        price: Callable[[Sequence[int], Sequence[Floats], Sequence[Counted]], list[PricedColumn]],
    ) -> list[PricedColumn]:
        """What `price` gives for each stock, priced again with one more row counted while a layout oversteps one."""
        found = price(which, pi, [self.of(i) for i in which])
        again = [k for k, p in enumerate(found) if self.add(p.column)]
        while again:
            redone = price([which[k] for k in again], [pi[k] for k in again], [self.of(which[k]) for k in again])
            for k, p in zip(again, redone, strict=True):
                found[k] = p
            again = [k for k, p in zip(again, redone, strict=True) if self.add(p.column)]
        return found


def generate(
    master: Master,
    engine: Engine,
    pool: Pool,
    deadline: Deadline,
    fixed: Mapping[int, int],
    quick: bool,
    rounds: int,
    counting: Counting,
    enough: float = np.inf,
    close: float = 0.0,
) -> Relaxed | None:
    """Add columns to `master` (and `pool`) until its relaxation is solved or within a share `close` of its bound, `rounds`
    are done or the bound passes `enough`. `fixed` maps stocks to 1 (cut) or 0 (left); None where the fixings contradict
    each other, or the first solution is `lost`."""
    costs = [float(s.cost + s.idle_credit) for s in engine.stocks]
    live = [i for i in master.which if fixed.get(i) != 0]
    best = -np.inf
    solution = master.solve()
    if solution is None:
        return None
    sharpest = solution
    where = {i: k for k, i in enumerate(master.which)}
    for _ in range(rounds):
        if deadline.over:
            return Relaxed(solution, sharpest, False)
        pi = [solution.pi[where[i]] for i in live]
        try:
            priced = counting.priced(live, pi, lambda w, p, c: engine.price(w, p, c, quick, deadline))
        except OutOfTime:
            return Relaxed(solution, sharpest, False)
        worths = {i: p.worth for i, p in zip(live, priced, strict=True)}
        promise = lagrangian(solution, worths, master, costs, fixed).bound
        if promise > best:
            best, sharpest = promise, solution
        added = 0
        least = TOLERANCE * max(1.0, abs(solution.value))
        for i, p in zip(live, priced, strict=True):
            if _reduced(solution, where[i], costs[i], p.worth) < -least:
                pool.add(p.column)
                master.add(p.column)
                added += 1
                for column in p.fewer:
                    if reduced_cost(solution, where[i], column) < -least:
                        pool.add(column)
                        master.add(column)
        there = best >= solution.value - max(least, close * abs(solution.value)) and (close > 0 or not quick)
        if (there or not added) and not master.raise_short(counting.tuned.dearer):
            return Relaxed(solution, sharpest, True)
        if best >= enough:
            return Relaxed(solution, sharpest, False)
        step = master.solve()
        if step is None:
            return Relaxed(solution, sharpest, False) if master.lost else None
        solution = step
    return Relaxed(solution, sharpest, False)


def prove(master: Master, engine: Engine, solution: Solution, fixed: Mapping[int, int], counting: Counting) -> Proof:
    """A bound on the master over every layout of the kinds considered, from the prices of `solution`: each stock is
    priced once in its loose reading, which misses no layout."""
    costs = [float(s.cost + s.idle_credit) for s in engine.stocks]
    where = {i: k for k, i in enumerate(master.which)}
    live = [i for i in master.which if fixed.get(i) != 0]
    priced = counting.priced(live, [solution.pi[where[i]] for i in live], engine.bound)
    worths = [p.worth for p in priced]
    found = lagrangian(solution, dict(zip(live, worths, strict=True)), master, costs, fixed)
    # The linear solver's own tolerance; and no plan costs less than nothing, since credit is a share of the price.
    return Proof(max(0.0, float(found.bound - TOLERANCE * abs(found.bound))), found.reduced)
