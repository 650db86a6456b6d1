"""Chances from draws: how much to have so that it suffices so often, with the error of that estimate."""

from __future__ import annotations

import math
from collections.abc import Sequence


def enough(needs: Sequence[float], chance: float) -> float:
    """The least stock that meets at least the share `chance` of the drawn needs.

    With `chance` = (price - cost) / (price - salvage) it is the order quantity of the newsvendor (Arrow, Harris and
    Marschak, Optimal inventory policy, Econometrica 19, 1951; its summary was read). Raises `ValueError` without needs.
    """
    if not needs:
        raise ValueError("no trials")
    ordered = sorted(needs)
    return ordered[max(0, math.ceil(chance * len(ordered) - 1e-9) - 1)]


def share_met(needs: Sequence[float], stock: float) -> float:
    """Share of the drawn needs that a stock meets."""
    return sum(n <= stock + 1e-9 for n in needs) / len(needs)


def share_error(share: float, draws: int) -> float:
    """Standard error of a share found in so many draws, never nothing: by Agresti and Coull's plus two successes and two
    failures (The American Statistician 52, 1998)."""
    p = (share * draws + 2) / (draws + 4)
    return math.sqrt(p * (1 - p) / (draws + 4))


def mean_and_error(values: Sequence[float]) -> tuple[float, float | None]:
    """Mean and its standard error; None with fewer than two values."""
    n = len(values)
    mean = math.fsum(values) / n
    if n < 2:
        return mean, None
    return mean, math.sqrt(math.fsum((v - mean) ** 2 for v in values) / (n - 1) / n)
