"""Prices of rows from the linear relaxation of choosing a path along each board."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ortools.linear_solver import pywraplp

from yieldopt.planning.layouts.arcs import Arc, Track
from yieldopt.planning.master.restrict import Demand
from yieldopt.planning.wood.stock import Stock


@dataclass(frozen=True)
class PathPrices:
    """An optimum of the relaxation."""

    value: float
    # Worth of a unit of each row that may come from any stock; (stock, row) -> the same of rows of a group.
    rows: Mapping[int, float]
    local: Mapping[tuple[int, int], float]
    # Share of each stock that is cut.
    used: Mapping[int, float]


def path_prices(
    arcs: Sequence[Arc], tracks: Sequence[Track], need: Sequence[float], demand: Demand, stocks: Sequence[Stock]
) -> PathPrices | None:
    """None where the linear solver fails."""
    solver = pywraplp.Solver.CreateSolver("GLOP")
    inf = solver.infinity()
    objective = solver.Objective()
    objective.SetMinimization()
    taken = [solver.NumVar(0, inf, "") for _ in arcs]
    for arc, x in zip(arcs, taken, strict=True):
        objective.SetCoefficient(x, -arc.credit)
    used: dict[int, pywraplp.Variable] = {}
    for track in tracks:
        use = used[track.stock] = solver.NumVar(0, 1, "")
        objective.SetCoefficient(use, float(stocks[track.stock].cost + stocks[track.stock].idle_credit))
        # What comes to a node goes on from it.
        nodes = [solver.Constraint(0, inf) for _ in range(track.nodes)]
        nodes[0].SetCoefficient(use, 1)
        for v in range(track.nodes - 1):
            along = solver.NumVar(0, inf, "")
            nodes[v].SetCoefficient(along, -1)
            nodes[v + 1].SetCoefficient(along, 1)
        for start, end, k in track.arcs:
            nodes[start].SetCoefficient(taken[k], -1)
            nodes[end].SetCoefficient(taken[k], 1)
    supplied: dict[int, list[tuple[int, int, float]]] = {}
    for k, arc in enumerate(arcs):
        for r, units in arc.gives:
            supplied.setdefault(r, []).append((arc.stock, k, min(units, need[r])))
    cover: dict[int, pywraplp.Constraint] = {}
    local: dict[tuple[int, int], pywraplp.Constraint] = {}
    homes: dict[tuple[str, int], pywraplp.Variable] = {}
    for r, row in enumerate(demand.rows):
        if need[r] <= 0:
            continue
        # Without a limit of its own, which would let a unit be worth more than going short of it costs: the labels' bounds
        # rest on that.
        short = solver.NumVar(0, inf, "")
        objective.SetCoefficient(short, demand.penalty * float(row.finished))
        if not row.one_board or row.group is None:
            cover[r] = solver.Constraint(need[r], inf)
            cover[r].SetCoefficient(short, 1)
            for _, k, units in supplied.get(r, ()):
                cover[r].SetCoefficient(taken[k], units)
            continue
        for track in tracks:
            i = track.stock
            if (row.group, i) not in homes:
                homes[row.group, i] = solver.NumVar(0, 1, "")
            local[i, r] = solver.Constraint(0, inf)
            local[i, r].SetCoefficient(short, 1)
            local[i, r].SetCoefficient(homes[row.group, i], -need[r])
        for i, k, units in supplied.get(r, ()):
            local[i, r].SetCoefficient(taken[k], units)
    for group in sorted({g for g, _ in homes}):
        one = solver.Constraint(1, inf)
        for (g, _), home in homes.items():
            if g == group:
                one.SetCoefficient(home, 1)
    if solver.Solve() != pywraplp.Solver.OPTIMAL:
        return None
    return PathPrices(
        objective.Value(),
        {r: max(0.0, c.dual_value()) for r, c in cover.items()},
        {key: max(0.0, c.dual_value()) for key, c in local.items()},
        {i: use.solution_value() for i, use in used.items()},
    )
