"""Figures of few planned draws carried over to the many of the quick layouts.

Plans take seconds, quick layouts milliseconds, and draws differ far more than the two differ on one draw. So what plans save
against quick layouts on the same draws is taken off the quick layouts' mean over all draws: the difference estimator of
double sampling (`trade.unverified`: double sampling; in simulation: control variates with coefficient one).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from yieldopt.luck.chance import mean_and_error
from yieldopt.sourcing.ways.turning import Cost, break_even_scale

# Planned draws from which figures are carried over.
ENOUGH = 3


@dataclass(frozen=True)
class Carried:
    """A mean with its standard error; `over` is how many quick draws it was carried over to, 0: the planned draws alone."""

    value: float
    error: float | None
    over: int


def carried(planned: Sequence[float], same: Sequence[float], every: Sequence[float]) -> Carried:
    """The mean of `planned`, carried over from quick figures of the `same` draws to those of `every` draw, where that is surer.

    Raises `ValueError` where the first two don't go together.
    """
    plain, error = mean_and_error(planned)
    differences = [a - b for a, b in zip(planned, same, strict=True)]
    if len(planned) < ENOUGH or len(every) <= len(planned) or error is None:
        return Carried(plain, error, 0)
    less, of_less = mean_and_error(differences)
    mean, of_mean = mean_and_error(every)
    whole = math.hypot(of_less or 0.0, of_mean or 0.0)
    return Carried(mean + less, whole, len(every)) if whole < error else Carried(plain, error, 0)


@dataclass(frozen=True)
class Pair:
    """Two ways on one draw."""

    thin: Cost
    thick: Cost


def mean_pair(pairs: Sequence[Pair]) -> Pair:
    """Of both ways; raises `ZeroDivisionError` without draws."""
    n = len(pairs)
    thin, thick = sum((p.thin for p in pairs), Cost(0.0, 0.0)), sum((p.thick for p in pairs), Cost(0.0, 0.0))
    return Pair(Cost(thin.fixed / n, thin.thick / n), Cost(thick.fixed / n, thick.thick / n))


def carried_pair(planned: Sequence[Pair], same: Sequence[Pair], every: Sequence[Pair]) -> Pair:
    """Mean costs of both ways by plans, carried over part by part."""
    a, b, c = mean_pair(planned), mean_pair(same), mean_pair(every)

    def moved(x: Cost, y: Cost, z: Cost) -> Cost:
        return Cost(x.fixed - y.fixed + z.fixed, x.thick - y.thick + z.thick)

    return Pair(moved(a.thin, b.thin, c.thin), moved(a.thick, b.thick, c.thick))


def carried_turning(planned: Sequence[Pair], same: Sequence[Pair], every: Sequence[Pair]) -> tuple[float, float] | None:
    """The factor on today's price at which the carried costs are the same, and its standard error by two jackknives, over
    the planned draws and over the quick ones; None where it does not turn."""
    whole = _scale(carried_pair(planned, same, every))
    if whole is None:
        return None
    few = [_scale(carried_pair(_but(planned, k), _but(same, k), every)) for k in range(len(planned))]
    many = [_scale(carried_pair(planned, same, _but(every, k))) for k in range(len(every))]
    errors = [jackknife(some) for some in (few, many)]
    if None in errors:
        return None
    return whole, math.hypot(*(e for e in errors if e is not None))


def _but(some: Sequence[Pair], k: int) -> Sequence[Pair]:
    return [*some[:k], *some[k + 1 :]]


def _scale(pair: Pair) -> float | None:
    return break_even_scale(pair.thin, pair.thick)


def jackknife(without: Sequence[float | None]) -> float | None:
    """Standard error from the figure with each draw left out in turn (Tukey's jackknife, 1958; Efron's monograph of 1982, as
    Wolter, The jackknife method, tells it); None where one of them is missing."""
    n = len(without)
    good = [r for r in without if r is not None]
    if n < 2 or len(good) < n:
        return None
    mean = sum(good) / n
    return float(((n - 1) / n * sum((r - mean) ** 2 for r in good)) ** 0.5)
