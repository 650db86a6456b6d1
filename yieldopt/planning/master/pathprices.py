"""Prices of rows from the linear relaxation of choosing a path along each board."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ortools.linear_solver import pywraplp

from yieldopt.planning.layouts.arcs import Arc, Track
from yieldopt.planning.master.linear import LinearDemand
from yieldopt.planning.master.restrict import Demand
from yieldopt.planning.wood.stock import Stock


@dataclass(frozen=True)
class PathPrices:
    """An optimum of the relaxation."""

    value: float
    # Worth of a unit of each row that may come from any stock; (row, stock) -> the same of rows of a group.
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
    short = [demand.penalty * float(row.finished) for row in demand.rows]
    rows = LinearDemand(solver, demand.rows, need, [t.stock for t in tracks], short)
    for arc, x in zip(arcs, taken, strict=True):
        for r, units in arc.gives:
            rows.supply(x, arc.stock, r, min(units, need[r]))
    if solver.Solve() != pywraplp.Solver.OPTIMAL:
        return None
    return PathPrices(
        objective.Value(),
        rows.worth_anywhere(),
        rows.worth_on(),
        {i: use.solution_value() for i, use in used.items()},
    )
