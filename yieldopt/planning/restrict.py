"""The master problem over a given set of columns, solved in whole numbers with CP-SAT."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from yieldopt.planning.columns import Column
from yieldopt.planning.rows import Row

# Money is counted in hundredths of a cent.
MONEY = 10_000
# Costs above this would overflow together with the penalties; no shop's rack comes near it.
MOST_MONEY = 1 << 50


@dataclass(frozen=True)
class Demand:
    """Rows as the whole-number master sees them: needs and units scaled to whole numbers a row."""

    rows: Sequence[Row]
    # Units of row r are counted in 1/scale[r].
    scale: Sequence[int]
    penalty: float
    # Stocks that can give all of a group's rows.
    homes: Mapping[str, Sequence[int]]
    # Net inches still missing of a stave row when the columns' staves, wide enough in all, don't make every copy.
    unmade: Callable[[int, Sequence[Column]], float] = lambda _row, _columns: 0.0

    def whole(self, r: int, units: float) -> int:
        return round(units * self.scale[r])


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
            row = demand.rows[r]
            if row.one_board and row.group is not None:
                best_home.setdefault(row.group, {}).setdefault(c.stock, [0.0] * len(need))[r] += units
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
    lost = sum(demand.penalty * float(demand.rows[r].finished) * m for r, m in missing.items())
    return Choice(columns, missing, cost, cost + lost)


def choose(
    columns: Sequence[Column],
    need: Sequence[float],
    demand: Demand,
    must: Iterable[int],
    seconds: float,
    effort: float,
    hint: Iterable[Column] = (),
    seed: int = 0,
    workers: int = 1,
) -> Choice | None:
    """Cheapest whole choice among `columns`; stocks in `must` are cut. Stops after `effort` units of deterministic
    time (the same answer on every machine) or, at the latest, after `seconds`."""
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in columns]
    by_stock: dict[int, list[int]] = {}
    for k, c in enumerate(columns):
        by_stock.setdefault(c.stock, []).append(k)
    must = set(must)
    for stock, ks in by_stock.items():
        if stock in must:
            model.add_exactly_one(taken[k] for k in ks)
        elif len(ks) > 1:
            model.add_at_most_one(taken[k] for k in ks)
    lost = []
    terms: dict[int, list[tuple[int, int]]] = {}
    for k, c in enumerate(columns):
        for r, units in c.gives:
            terms.setdefault(r, []).append((k, demand.whole(r, units)))
    homes: dict[tuple[str, int], cp_model.IntVar] = {}
    for r, row in enumerate(demand.rows):
        wanted = demand.whole(r, need[r])
        if wanted <= 0:
            continue
        u = model.new_int_var(0, wanted, "")
        lost.append((u, demand.penalty * float(row.finished) / demand.scale[r]))
        if not row.one_board or row.group is None:
            model.add(sum(a * taken[k] for k, a in terms.get(r, [])) + u >= wanted)
            continue
        for stock in by_stock:
            home = homes.setdefault((row.group, stock), model.new_bool_var(""))
            mine = [a * taken[k] for k, a in terms.get(r, []) if columns[k].stock == stock]
            model.add(sum(mine) + u >= wanted * home)
    for group in {g for g, _ in homes}:
        model.add_exactly_one(h for (g, _), h in homes.items() if g == group)
    model.minimize(
        sum(round(c.cost * MONEY) * t for c, t in zip(columns, taken, strict=True)) + sum(round(w * MONEY) * u for u, w in lost)
    )
    wanted_hint = {id(c) for c in hint}
    if wanted_hint:
        for k, c in enumerate(columns):
            model.add_hint(taken[k], id(c) in wanted_hint)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    # Ctrl-C is ours: it ends the search with the best plan so far.
    solver.parameters.catch_sigint_signal = False
    solver.parameters.random_seed = seed
    solver.parameters.max_time_in_seconds = max(0.05, seconds)
    solver.parameters.max_deterministic_time = effort
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return evaluate((c for k, c in enumerate(columns) if solver.boolean_value(taken[k])), need, demand)
