"""The master problem in whole numbers over sections: layouts of one stock are taken apart and put together anew.

A stock's layout is a path along the board through sections that do not overlap. The paths through the sections of a few
dozen layouts are far more than those layouts, at little more work for the solver.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from ortools.sat.python import cp_model

from yieldopt.planning.columns import Column, Stretch, column_of
from yieldopt.planning.items import Item
from yieldopt.planning.layout import joined
from yieldopt.planning.restrict import MONEY, Choice, Demand, evaluate, solved, supply
from yieldopt.planning.stock import Stock


@dataclass(frozen=True, slots=True)
class _Arc:
    """Part of a path along one stock: a section, or a whole column where its sections are not known."""

    stock: int
    start: float
    end: float
    gives: tuple[tuple[int, float], ...]
    credit: float
    source: Stretch | Column


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
    `hint`. Stops after `effort` units of deterministic time or, at the latest, after `seconds`."""
    arcs = _arcs(columns, stocks, most, hint)
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in arcs]
    by_stock: dict[int, list[int]] = {}
    for k, a in enumerate(arcs):
        by_stock.setdefault(a.stock, []).append(k)
    money: list[cp_model.LinearExpr] = [-round(a.credit * MONEY) * t for a, t in zip(arcs, taken, strict=True)]
    used = {i: model.new_bool_var("") for i in by_stock}
    for i, mine in by_stock.items():
        _path(model, [arcs[k] for k in mine], [taken[k] for k in mine], used[i])
        money.append(round(float(stocks[i].cost + stocks[i].idle_credit) * MONEY) * used[i])
    lost = supply(model, [(t, a.stock, a.gives) for a, t in zip(arcs, taken, strict=True)], need, demand)
    model.minimize(cp_model.LinearExpr.sum(money) + lost)
    if hint:
        known = {_key(a) for k in hint for a in _of(k, stocks)}
        for a, t in zip(arcs, taken, strict=True):
            model.add_hint(t, _key(a) in known)
        for i, use in used.items():
            model.add_hint(use, any(k.stock == i for k in hint))
    solver = solved(model, seconds, effort, seed, workers)
    if solver is None:
        return None
    chosen: list[Column] = []
    for i, mine in by_stock.items():
        sources = [arcs[k].source for k in mine if solver.boolean_value(taken[k])]
        sections = [s.section for s in sources if isinstance(s, Stretch)]
        chosen += [s for s in sources if isinstance(s, Column)]
        if sections:
            chosen.append(column_of(joined(i, sections), stocks, items))
    return evaluate(chosen, need, demand)


def _of(column: Column, stocks: Sequence[Stock]) -> list[_Arc]:
    """The arcs of one column."""
    if column.stretches:
        return [_Arc(column.stock, s.start, s.end, s.gives, s.credit, s) for s in column.stretches]
    stock = stocks[column.stock]
    return [_Arc(column.stock, -inf, inf, column.gives, float(column.layout.credit(stock)), column)]


def _key(arc: _Arc) -> tuple[object, ...]:
    return (arc.stock, arc.start, arc.end, arc.gives)


def _arcs(columns: Sequence[Column], stocks: Sequence[Stock], most: int, hint: Sequence[Column]) -> list[_Arc]:
    """The dearest arc of each kind, those of `hint` in any case."""
    best: dict[tuple[object, ...], _Arc] = {}
    for column in [*hint, *columns]:
        if len(best) >= most:
            break
        for arc in _of(column, stocks):
            known = best.get(_key(arc))
            if known is None or known.credit < arc.credit:
                best[_key(arc)] = arc
    return list(best.values())


def _path(model: cp_model.CpModel, arcs: Sequence[_Arc], taken: Sequence[cp_model.IntVar], used: cp_model.IntVar) -> None:
    """The arcs taken of one stock follow one another; none where the stock is not used."""
    starts = sorted({a.start for a in arcs if a.start > -inf})
    leaving: list[list[cp_model.IntVar]] = [[] for _ in starts]
    reaching: list[list[cp_model.IntVar]] = [[] for _ in range(len(starts) + 1)]
    whole: list[cp_model.IntVar] = []
    for a, t in zip(arcs, taken, strict=True):
        if a.start == -inf:
            whole.append(t)
        else:
            leaving[bisect_left(starts, a.start)].append(t)
            # An arc comes out at the next place where another begins.
            reaching[bisect_left(starts, a.end - 1e-9)].append(t)
    ours = used - cp_model.LinearExpr.sum(whole)
    # Without a section to choose nothing else would hold whole columns to one.
    model.add(ours >= 0)
    here: cp_model.LinearExpr = ours
    for k in range(len(starts)):
        passed = model.new_bool_var("")
        model.add(here + cp_model.LinearExpr.sum(reaching[k]) == passed + cp_model.LinearExpr.sum(leaving[k]))
        here = passed
    model.add(here + cp_model.LinearExpr.sum(reaching[len(starts)]) == ours)
