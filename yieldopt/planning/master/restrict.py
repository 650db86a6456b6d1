"""Choices of columns in whole numbers: what they cost and miss, and how CP-SAT is told of the demand."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from yieldopt.planning.demand.ranges import Count, short_step
from yieldopt.planning.demand.rows import Row
from yieldopt.planning.layouts.columns import Column

# A group is placed whole or not at all; what a choice has of one that it misses a part of counts for this share of a part
# each, so that choices that come near are told from those that do not.
BEGUN = 0.1
# (row, units) supplied.
Gives = Sequence[tuple[int, float]]


@dataclass(frozen=True)
class Demand:
    """Rows as the whole-number master sees them: needs and units scaled to whole numbers a row."""

    rows: Sequence[Row]
    # How units of each row are counted in whole numbers.
    counts: Sequence[Count]
    penalty: float
    # Stocks that can give all of a group's rows.
    homes: Mapping[str, Sequence[int]]
    # Net inches still missing of a stave row when the columns' staves, wide enough in all, don't make every copy.
    unmade: Callable[[int, Sequence[Column]], float] = lambda _row, _columns: 0.0

    def short_of(self, missing: Mapping[int, float]) -> float:
        """Finished parts that these units make; a glue-up that is short by a hair is missing like any other part."""
        return sum(float(self.rows[r].finished) * m + (self.rows[r].kind == "stave") for r, m in missing.items())

    def fallen(self, missing: Mapping[int, float]) -> list[int]:
        """All rows of the groups of which something is missing: none of such a group is placed."""
        groups = {self.rows[r].group for r in missing} - {None}
        return [r for r, row in enumerate(self.rows) if row.group in groups]


@dataclass(frozen=True)
class Choice:
    """Columns chosen, one a stock at most; `missing` in units a row; `cost` without penalties."""

    columns: tuple[Column, ...]
    missing: Mapping[int, float]
    cost: float
    # Cost with the penalty for what is missing; compares choices.
    value: float


def evaluate(columns: Iterable[Column], need: Sequence[float], demand: Demand) -> Choice:
    """The choice that these columns are; groups bound to one board count only if one stock gives all of it."""
    columns = tuple(columns)
    supplied = [0.0] * len(need)
    best_home: dict[str, dict[int, list[float]]] = {}
    for c in columns:
        for r, units in c.gives:
            group = demand.rows[r].board_group
            if group is not None:
                best_home.setdefault(group, {}).setdefault(c.stock, [0.0] * len(need))[r] += units
            else:
                supplied[r] += units
    for stocks in best_home.values():
        most = max(
            stocks.values(), key=lambda s: sum(min(s[r], need[r]) * float(demand.rows[r].finished) for r in range(len(need)))
        )
        for r, units in enumerate(most):
            supplied[r] += units
    missing = {r: need[r] - s for r, s in enumerate(supplied) if need[r] - s > 1e-9}
    for r, row in enumerate(demand.rows):
        if row.kind == "stave" and row.pin is None and r not in missing and need[r] >= float(row.need) - 1e-9:
            unmade = demand.unmade(r, columns)
            if unmade > 0:
                missing[r] = unmade
    cost = sum(c.cost for c in columns)
    short = demand.short_of(missing)
    began = demand.short_of({r: need[r] for r in demand.fallen(missing) if need[r] > 0}) - demand.short_of(
        {r: m for r, m in missing.items() if demand.rows[r].group is not None}
    )
    return Choice(columns, missing, cost, cost + demand.penalty * (short + (1 - BEGUN) * max(0.0, began)))


def supply(
    model: cp_model.CpModel,
    sources: Sequence[tuple[cp_model.IntVar, int, Gives]],
    need: Sequence[float],
    demand: Demand,
    money: float,
) -> cp_model.LinearExpr:
    """Adds that every row is supplied by the sources (variable, stock, what it gives) or goes short; returns what going
    short costs, in whole numbers of which `money` are a unit of money. A group bound to one board counts on the stock chosen
    for it only."""
    stocks = sorted({stock for _, stock, _ in sources})
    terms: dict[int, list[tuple[int, int, cp_model.IntVar]]] = {}
    for taken, stock, gives in sources:
        for r, units in gives:
            terms.setdefault(r, []).append((stock, demand.counts[r].given(units), taken))
    lost: list[cp_model.LinearExpr] = []
    homes: dict[tuple[str, int], cp_model.IntVar] = {}
    for r, row in enumerate(demand.rows):
        wanted = demand.counts[r].wanted(need[r])
        if wanted <= 0:
            continue
        each = demand.penalty * float(row.finished) / demand.counts[r].per * money
        step = short_step(each)
        steps = model.new_int_var(0, -(-wanted // step), "")
        lost.append(round(each * step) * steps)
        u = step * steps
        if row.kind == "stave":
            short = model.new_bool_var("")
            model.add(steps <= -(-wanted // step) * short)
            lost.append(round(demand.penalty * money) * short)
        if row.board_group is None:
            model.add(sum(a * taken for _, a, taken in terms.get(r, [])) + u >= wanted)
            continue
        for stock in stocks:
            home = homes.setdefault((row.board_group, stock), model.new_bool_var(""))
            model.add(sum(a * taken for i, a, taken in terms.get(r, []) if i == stock) + u >= wanted * home)
    for group in {g for g, _ in homes}:
        model.add_exactly_one(h for (g, _), h in homes.items() if g == group)
    return cp_model.LinearExpr.sum(lost)


def solved(
    model: cp_model.CpModel, seconds: float, effort: float, seed: int, workers: int, linear: bool = False
) -> cp_model.CpSolver | None:
    """The solver with the best answer found within `effort` units of deterministic time and, at the latest, `seconds`;
    `linear` lets it lean on the linear relaxation, where sums that must come out just so leave little else to go by."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    # Ctrl-C is ours: it ends the search with the best plan so far.
    solver.parameters.catch_sigint_signal = False
    solver.parameters.random_seed = seed
    solver.parameters.max_time_in_seconds = max(0.05, seconds)
    solver.parameters.max_deterministic_time = effort
    if linear:
        solver.parameters.linearization_level = 2
    status = solver.solve(model)
    return solver if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
