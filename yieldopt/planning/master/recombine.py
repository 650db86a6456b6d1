"""The master problem in whole numbers over sections: layouts of one stock are taken apart and put together anew.

A stock's layout is a path along the board through sections that do not overlap. The paths through the sections of a few
dozen layouts are far more than those layouts, at little more work.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from ortools.sat.python import cp_model

from yieldopt.planning.demand.items import Item
from yieldopt.planning.demand.ranges import money_step
from yieldopt.planning.layouts.arcs import Arc, Track, arcs_of, gathered, put_together, tracks
from yieldopt.planning.layouts.columns import Column
from yieldopt.planning.master.paths import cheapest
from yieldopt.planning.master.restrict import Choice, Demand, evaluate, solved, supply
from yieldopt.planning.wood.stock import Stock


def recombine(
    columns: Sequence[Column],
    need: Sequence[float],
    demand: Demand,
    stocks: Sequence[Stock],
    items: Sequence[Item],
    most: int,
    seconds: float,
    effort: float,
    hint: Sequence[Column] = (),
    seed: int = 0,
    workers: int = 1,
) -> Choice | None:
    """Cheapest choice of layouts made of the sections of `columns`, the first `most` sections in their order and those of
    `hint`. By labels where that is exact, else by the solver, which stops after `effort` units of deterministic time or, at
    the latest, after `seconds`. None where nothing was found, or nothing cheaper than `hint`."""
    arcs = gathered(columns, stocks, most, hint)
    if not arcs:
        return None
    along = tracks(arcs)
    best = evaluate(hint, need, demand) if hint else None
    found = cheapest(arcs, along, need, demand, stocks, best.value if best is not None else inf, effort)
    if found.arcs:
        best = evaluate(put_together([arcs[k] for k in found.arcs], stocks, items), need, demand)
    if found.proven:
        return best
    known = best.columns if best is not None else ()
    taken = _by_solver(arcs, along, need, demand, stocks, known, (seconds, effort, seed, workers))
    if taken is None:
        return best
    chosen = evaluate(put_together(taken, stocks, items), need, demand)
    return chosen if best is None or chosen.value < best.value else best


def _by_solver(
    arcs: Sequence[Arc],
    along: Sequence[Track],
    need: Sequence[float],
    demand: Demand,
    stocks: Sequence[Stock],
    hint: Sequence[Column],
    limits: tuple[float, float, int, int],
) -> list[Arc] | None:
    """The arcs of the cheapest choice that the constraint solver finds within `limits` (see `restrict.solved`)."""
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in arcs]
    costs = {t.stock: float(stocks[t.stock].cost + stocks[t.stock].idle_credit) for t in along}
    short = demand.penalty * demand.short_of(dict(enumerate(need)))
    step = money_step(sum(costs.values()) + sum(abs(a.credit) for a in arcs) + short)
    money: list[cp_model.LinearExpr] = [-round(a.credit * step) * t for a, t in zip(arcs, taken, strict=True)]
    used = {t.stock: model.new_bool_var("") for t in along}
    for track in along:
        _path(model, track, taken, used[track.stock])
        money.append(round(costs[track.stock] * step) * used[track.stock])
    lost = supply(model, [(t, a.stock, a.gives) for a, t in zip(arcs, taken, strict=True)], need, demand, step)
    model.minimize(cp_model.LinearExpr.sum(money) + lost)
    if hint:
        known = {a.key for k in hint for a in arcs_of(k, stocks)}
        for a, t in zip(arcs, taken, strict=True):
            model.add_hint(t, a.key in known)
        for i, use in used.items():
            model.add_hint(use, any(k.stock == i for k in hint))
    solver = solved(model, *limits)
    if solver is None:
        return None
    return [a for a, t in zip(arcs, taken, strict=True) if solver.boolean_value(t)]


def _path(model: cp_model.CpModel, track: Track, taken: Sequence[cp_model.IntVar], used: cp_model.IntVar) -> None:
    """The arcs taken of one stock follow one another; none where the stock is not used."""
    leaving: list[list[cp_model.IntVar]] = [[] for _ in range(track.nodes)]
    reaching: list[list[cp_model.IntVar]] = [[] for _ in range(track.nodes)]
    for start, end, k in track.arcs:
        leaving[start].append(taken[k])
        reaching[end].append(taken[k])
    here: cp_model.LinearExpr = used
    for v in range(track.nodes - 1):
        passed = model.new_bool_var("")
        model.add(here + cp_model.LinearExpr.sum(reaching[v]) == passed + cp_model.LinearExpr.sum(leaving[v]))
        here = passed
    model.add(here + cp_model.LinearExpr.sum(reaching[track.nodes - 1]) == used)
