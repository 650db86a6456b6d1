"""Figures of a study: the table of ways, the break-even and its spread, what a pair costs, what a resaw pass is worth."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from yieldopt.luck.chance import mean_and_error, share_error
from yieldopt.records.purchase import By
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.ways.carried import ENOUGH, Carried, Pair, carried, carried_pair, carried_turning, jackknife, mean_pair
from yieldopt.sourcing.ways.outcome import NOTHING, Outcome
from yieldopt.sourcing.ways.question import LOOSE_NAME, THICK_NAME
from yieldopt.sourcing.ways.turning import Cost, break_even_scale


@dataclass(frozen=True)
class WayFigures:
    """One way over its draws, rack not included: means, but for `least`, which is over all draws."""

    name: str
    cost: Cost
    error: float | None
    # Sums over the draws: see `mean`.
    total: Outcome
    draws: int
    incomplete: int
    # "plans" or "estimate" (quick layouts).
    by: By
    # Quick draws that the cost was carried over to; 0: it is the mean of the draws alone.
    over: int = 0

    def mean(self, figure: str) -> float:
        """Mean over the draws of a field of `Outcome`."""
        return float(getattr(self.total, figure)) / self.draws


@dataclass(frozen=True)
class Turning:
    """The price ratio 8/4 : 4/4 at which the ways cost the same, with the middle nine tenths of single draws."""

    ratio: float
    error: float | None
    low: float
    high: float
    draws: int
    by: By
    # Share of single draws on the same side of today's price as the whole, and its error.
    agree: float
    agree_error: float
    # Quick draws that it was carried over to; 0: none.
    over: int = 0


def way_figures(s: Study) -> list[WayFigures]:
    """Each way by plans where every part of at least three draws was planned, else by quick layouts where there are any."""
    found: list[WayFigures] = []
    for w, way in enumerate(s.question.ways):
        planned = {d: o for (k, d), o in sorted(s.planned.items()) if k == w}
        quick = s.quick[w] if w < len(s.quick) else []
        whole, good = ([o for o in some if o.complete] for some in (planned.values(), quick))
        if whole and (len(whole) >= ENOUGH or not good):
            figures = _carried_over(_figures(way.name, whole, len(planned), "plans"), planned, quick)
            found.append(_beside_first(s, figures, planned, found) if way.also else figures)
        elif good:
            found.append(_figures(way.name, good, len(quick), "estimate"))
    return found


def _beside_first(s: Study, f: WayFigures, planned: Mapping[int, Outcome], found: Sequence[WayFigures]) -> WayFigures:
    """A way planned on few draws beside the first, planned on more: the first's cost and what it saved on the draws they share,
    since draws differ from each other far more than ways do on one draw."""
    pairs = [(o, first) for d, o in planned.items() if o.complete and (first := s.planned.get((0, d))) and first.complete]
    if not pairs or not found or found[0].name != s.question.ways[0].name or found[0].by != "plans":
        return f
    n = len(pairs)
    saved = sum((o.cost + Cost(-a.cost.fixed, -a.cost.thick) for o, a in pairs), Cost(0.0, 0.0))
    _, error = mean_and_error([o.cost.at(1) - a.cost.at(1) for o, a in pairs])
    cost = found[0].cost + Cost(saved.fixed / n, saved.thick / n)
    return replace(f, cost=cost, error=math.hypot(found[0].error or 0.0, error or 0.0), over=found[0].over)


def _carried_over(f: WayFigures, planned: Mapping[int, Outcome], quick: Sequence[Outcome]) -> WayFigures:
    both = [(o, quick[d]) for d, o in planned.items() if o.complete and d < len(quick) and quick[d].complete]
    every = [o for o in quick if o.complete]
    if len(both) < f.draws:
        return f

    def of(figure: Callable[[Outcome], float]) -> Carried:
        return carried([figure(o) for o, _ in both], [figure(q) for _, q in both], [figure(q) for q in every])

    whole = of(lambda o: o.cost.at(1))
    if not whole.over:
        return f
    pairs = [[Pair(o.cost, o.cost) for o in some] for some in ([o for o, _ in both], [q for _, q in both], every)]
    return replace(f, cost=carried_pair(*pairs).thin, error=whole.error, over=whole.over)


def estimates(s: Study) -> list[WayFigures]:
    """Each way by quick layouts alone, all on the same draws."""
    return [
        _figures(w.name, good, len(o), "estimate")
        for w, o in zip(s.question.ways, s.quick, strict=False)
        if (good := [x for x in o if x.complete])
    ]


def _figures(name: str, good: Sequence[Outcome], tried: int, by: By) -> WayFigures:
    total = sum(good, NOTHING)
    n = len(good)
    _, error = mean_and_error([o.cost.at(1) for o in good])
    return WayFigures(name, Cost(total.cost.fixed / n, total.cost.thick / n), error, total, n, tried - n, by)


def _pairs(s: Study, first: int, second: int, by: By) -> list[tuple[Outcome, Outcome]]:
    """Both ways on every draw on which both made every part."""
    if by == "plans":
        some = [
            (s.planned[first, d], s.planned[second, d]) for (w, d) in sorted(s.planned) if w == first and (second, d) in s.planned
        ]
    else:
        some = _quick_pairs(s, first, second)
    return [(a, b) for a, b in some if a.complete and b.complete]


def turning(s: Study, by: By) -> Turning | None:
    """The break-even by "plans" or by "estimate"; None where the ways don't turn or were not both made on one draw."""
    if s.question.ratio_today is None or len(s.question.ways) < 2 or s.question.ways[1].name != THICK_NAME:
        return None
    good = [Pair(a.cost, b.cost) for a, b in _pairs(s, 0, 1, by)]
    whole, error, over = _ratio(good, s.question.ratio_today), _jackknife(good, s.question.ratio_today), 0
    every = good
    if by == "plans":
        moved = _moved(s)
        if moved is not None and (error is None or moved[1] < error):
            every = [Pair(a.cost, b.cost) for a, b in _pairs(s, 0, 1, "estimate")]
            whole, error, over = *moved, len(every)
    if whole is None:
        return None
    single = [r for pair in every if (r := _ratio([pair], s.question.ratio_today)) is not None]
    # The spread of the quick draws, moved to where the plans turn.
    shift = whole - (_ratio(every, s.question.ratio_today) or whole) if over else 0.0
    ordered = sorted(max(0.0, r + shift) for r in single) or [whole]
    low, high = ordered[int(0.05 * (len(ordered) - 1))], ordered[round(0.95 * (len(ordered) - 1))]
    dearer = whole < s.question.ratio_today
    if over:
        agree = sum((r < s.question.ratio_today) == dearer for r in ordered) / len(ordered)
    else:
        agree = sum((p.thin.at(1) < p.thick.at(1)) == dearer for p in good) / len(good)
    return Turning(whole, error, low, high, len(good), by, agree, share_error(agree, len(every)), over)


def _moved(s: Study) -> tuple[float, float] | None:
    """The break-even by plans, carried over to all quick draws, with its error; None where too few were planned."""
    planned, same, every = _both(s, 0, 1)
    if len(planned) < ENOUGH or s.question.ratio_today is None:
        return None
    found = carried_turning(planned, same, every)
    return None if found is None else (found[0] * s.question.ratio_today, found[1] * s.question.ratio_today)


def _both(s: Study, first: int, second: int) -> tuple[list[Pair], list[Pair], list[Pair]]:
    """Two ways on the draws planned, by plans and by quick layouts, and by quick layouts on every draw."""
    every = [(d, Pair(a.cost, b.cost)) for d, (a, b) in enumerate(_quick_pairs(s, first, second)) if a.complete and b.complete]
    quick = dict(every)
    planned = {
        d: Pair(a.cost, b.cost)
        for d in sorted(quick)
        if (a := s.planned.get((first, d))) and (b := s.planned.get((second, d))) and a.complete and b.complete
    }
    return list(planned.values()), [quick[d] for d in planned], [p for _, p in every]


def _quick_pairs(s: Study, first: int, second: int) -> list[tuple[Outcome, Outcome]]:
    return list(zip(s.quick[first], s.quick[second], strict=False)) if len(s.quick) > max(first, second) else []


def _ratio(pairs: Sequence[Pair], today: float) -> float | None:
    if not pairs:
        return None
    mean = mean_pair(pairs)
    scale = break_even_scale(mean.thin, mean.thick)
    return None if scale is None else scale * today


def _jackknife(pairs: Sequence[Pair], today: float) -> float | None:
    return jackknife([_ratio([*pairs[:k], *pairs[k + 1 :]], today) for k in range(len(pairs))])


def best_turning(s: Study) -> Turning | None:
    """By plans if at least three draws were planned both ways, else by quick layouts."""
    planned, quick = turning(s, "plans"), turning(s, "estimate")
    return planned if planned is not None and (planned.draws >= ENOUGH or quick is None) else quick


def chart_lines(s: Study, t: Turning) -> list[tuple[str, Cost]]:
    """Mean cost of each way on the draws that the break-even rests on, the rack's included, so that the first two cross
    there; other ways on those of these draws on which they made every part."""
    rack = Cost(rack_cost(s), 0.0)
    if t.over:
        whole = carried_pair(*_both(s, 0, 1))
        found = [(s.question.ways[0].name, whole.thin + rack), (s.question.ways[1].name, whole.thick + rack)]
        figures = {f.name: f.cost for f in way_figures(s)}
        return found + [(w.name, figures[w.name] + rack) for w in s.question.ways[2:] if w.name in figures]
    thin, thick = ([p[k].cost for p in _pairs(s, 0, 1, t.by)] for k in (0, 1))
    lines = [(s.question.ways[0].name, thin), (s.question.ways[1].name, thick)]
    for w in range(2, len(s.question.ways)):
        lines.append((s.question.ways[w].name, [b.cost for _, b in _pairs(s, 0, w, t.by)]))
    means = [(name, sum(some, Cost(0.0, 0.0)), len(some)) for name, some in lines if some]
    return [(name, Cost(total.fixed / n, total.thick / n) + rack) for name, total, n in means]


def rack_cost(s: Study) -> float:
    """Net cost of what the rack gives; 0 where the ways are for the whole job bought new."""
    return 0.0 if s.question.on_rack.plan is None or s.question.whole_job else s.question.on_rack.plan.totals.net_cost


def best_by(s: Study, first: int, second: int) -> By:
    """Plans where both ways were planned on at least three draws, else quick layouts: comparisons never mix the two."""
    planned = len(_pairs(s, first, second, "plans"))
    return "plans" if planned >= ENOUGH or (planned and not _pairs(s, first, second, "estimate")) else "estimate"


@dataclass(frozen=True)
class Difference:
    """What the second way costs, and how many pairs it gives, beyond the first on the same draws."""

    cost: float
    error: float | None
    pairs: float
    resaw_cuts: float
    draws: int
    by: By
    over: int = 0


def difference(s: Study, first: int, second: int) -> Difference | None:
    """None where they were not both made on one draw."""
    by = best_by(s, first, second)
    some = _pairs(s, first, second, by)
    if not some:
        return None
    n = len(some)
    planned, same, every = ([p.thick.at(1) - p.thin.at(1) for p in pairs] for pairs in _both(s, first, second))
    if by == "plans" and len(planned) == n:
        c = carried(planned, same, every)
    else:
        c = Carried(*mean_and_error([b.cost.at(1) - a.cost.at(1) for a, b in some]), 0)
    return Difference(
        c.value,
        c.error,
        sum(b.pairs - a.pairs for a, b in some) / n,
        sum(b.resaw_cuts - a.resaw_cuts for a, b in some) / n,
        n,
        by,
        c.over,
    )


def matching_cost(s: Study) -> Difference | None:
    """What the job's matched pairs cost against unmatched pieces; None where it has none."""
    loose = next((w for w, way in enumerate(s.question.ways) if way.name == LOOSE_NAME), None)
    return None if loose is None else difference(s, loose, 0)


@dataclass(frozen=True)
class Labour:
    """What a resaw pass saves in wood, and the minutes that would eat it up."""

    # Money a pass saves; below zero: resawing costs wood as well.
    worth: float
    # At the maker's own hour, else at a few hours' worth; minutes of one pass, its set-up and flattening included.
    minutes: tuple[tuple[float, float], ...]
    # With the maker's own minutes: what the passes' time comes to at the maker's hour, and minutes in all.
    cost: float | None
    total_minutes: float | None


# Shown where the maker says no figure: what an hour may be worth, in the job's money. No source; only to read between.
HOURS = (20.0, 40.0, 80.0)


def labour(s: Study) -> Labour | None:
    """None where resawing adds no pass, or the ways can't be compared."""
    d = difference(s, 0, 1) if len(s.question.ways) > 1 and s.question.ways[1].name == THICK_NAME else None
    if d is None or d.resaw_cuts < 0.5:
        return None
    worth = -d.cost / d.resaw_cuts
    hours = (s.asked.hourly,) if s.asked.hourly else HOURS
    minutes = tuple((h, 60 * worth / h) for h in hours)
    total = None if s.asked.minutes is None else s.asked.minutes * d.resaw_cuts
    cost = None if total is None or s.asked.hourly is None else total / 60 * s.asked.hourly
    return Labour(worth, minutes, cost, total)
