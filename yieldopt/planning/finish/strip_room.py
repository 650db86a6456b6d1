"""Another choice of layouts, where a board that is resawn untested would be left without wood for its stress test.

The search knows nothing of strips. Where its choice leaves no wood for one, the layouts it met are chosen from once more: each
that resaws untested wood opened for a strip where it can be, the others dearer by the price of the board that the strip is to
save. All parts come first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ortools.sat.python import cp_model

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.demand.ranges import money_step
from yieldopt.planning.finish.stress import Strips, needs_strip, opened, with_strips
from yieldopt.planning.layouts.columns import Column
from yieldopt.planning.master.restrict import evaluate, solved, supply
from yieldopt.planning.pricing.context import Context


def with_room(c: Context, columns: Sequence[Column], ranked: Sequence[Column], limit: Deadline) -> tuple[list[Column], Strips]:
    """As `stress.with_strips`; where a board has no wood for one, another choice is looked for among the columns `ranked`, the
    most promising first."""
    found, strips = with_strips(c, columns, limit)
    if any(isinstance(s, str) for s in strips.values()) and not limit.over:
        other = _chosen(c, columns, ranked, limit)
        if other is not None:
            again, theirs = with_strips(c, other, limit)
            if _value(c, again, theirs) < _value(c, found, strips) - 1e-6:
                return again, theirs
    return found, strips


def _worth(c: Context, stock: int) -> float:
    """What a strip of the stock may cost at most."""
    return max(c.tuning.strip_room.least_worth, float(c.stocks[stock].cost + c.stocks[stock].idle_credit))


def _value(c: Context, columns: Sequence[Column], strips: Strips) -> float:
    lacking = sum(_worth(c, i) for i, s in strips.items() if isinstance(s, str))
    return evaluate(columns, c.need, c.demand).value + lacking


def _offers(c: Context, columns: Sequence[Column], ranked: Sequence[Column], limit: Deadline) -> Iterator[tuple[Column, float]]:
    """Layouts to choose from with what each costs more: those of the choice, and the most promising of each stock."""
    taken, tried = dict.fromkeys(c.which, 0), dict.fromkeys(c.which, 0)
    for k in [*columns, *ranked]:
        if taken[k.stock] >= c.tuning.strip_room.most_each:
            continue
        taken[k.stock] += 1
        if not needs_strip(c, k):
            yield k, 0.0
            continue
        yield k, _worth(c, k.stock)
        if tried[k.stock] < c.tuning.strip_room.most_opened and not limit.over:
            tried[k.stock] += 1
            with_strip = next(opened(c, k), None)
            if with_strip is not None:
                yield with_strip[0], 0.0


def _chosen(c: Context, columns: Sequence[Column], ranked: Sequence[Column], limit: Deadline) -> list[Column] | None:
    offers = list(_offers(c, columns, ranked, limit))
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in offers]
    of_stock: dict[int, list[cp_model.IntVar]] = {}
    for (k, _), t in zip(offers, taken, strict=True):
        of_stock.setdefault(k.stock, []).append(t)
    for some in of_stock.values():
        model.add_at_most_one(some)
    short = c.demand.penalty * c.demand.short_of(dict(enumerate(c.need)))
    most = sum(max(abs(k.cost) + more for k, more in offers if k.stock == i) for i in of_stock)
    step = money_step(most + short)
    money = [round((k.cost + more) * step) * t for (k, more), t in zip(offers, taken, strict=True)]
    lost = supply(model, [(t, k.stock, k.gives) for (k, _), t in zip(offers, taken, strict=True)], c.need, c.demand, step)
    model.minimize(cp_model.LinearExpr.sum(money) + lost)
    for n, t in enumerate(taken):
        model.add_hint(t, n < len(columns))
    solver = solved(model, limit.brief(c.tuning.strip_room.seconds), c.tuning.strip_room.effort, 0, 1)
    if solver is None:
        return None
    return [k for (k, _), t in zip(offers, taken, strict=True) if solver.boolean_value(t)]
