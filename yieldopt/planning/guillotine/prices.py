"""Prices on items with limited copies (Lagrange multipliers): the bound, and the tables the search prunes with.

For any prices p >= 0, with c the limits, no layout within the limits is worth more than `sum(p c)` plus the best layout
without limits at values less prices. Subgradient steps as in Held, Wolfe & Crowder, Math. Program. 6 (1974) 62-88.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from yieldopt.planning.guillotine.grid import UNLIMITED, Grid
from yieldopt.planning.guillotine.layout import Bare
from yieldopt.planning.guillotine.model import Deadline
from yieldopt.planning.guillotine.plain import filled, traced


@dataclass(frozen=True, slots=True)
class Priced:
    """One set of prices: by group, what they add up to over the limits, the table inside, and the bound."""

    prices: NDArray[np.float64]
    total: float
    inner: NDArray[np.float64]
    bound: float


def uses(grid: Grid, bare: Bare) -> list[int]:
    """Grid rows of the items in `bare`, with repetition."""
    place = {int(k): row for row, k in enumerate(grid.index)}
    out, stack = [], [bare]
    while stack:
        node = stack.pop()
        if node.item is not None:
            out.append(place[node.item])
        if node.first is not None and node.second is not None:
            stack += [node.second, node.first]
    return out


def within(grid: Grid, bare: Bare) -> tuple[Bare, float]:
    """`bare` less the copies beyond the limits, and what is left of its value."""
    place = {int(k): row for row, k in enumerate(grid.index)}
    left = grid.copies.copy()
    worth = 0.0

    def keep(node: Bare) -> Bare:
        nonlocal worth
        if node.item is not None:
            row = place[node.item]
            if left[grid.group[row]] <= 0:
                return Bare()
            left[grid.group[row]] -= 1
            worth += float(grid.values[row])
            return node
        if node.first is None or node.second is None:
            return node
        return Bare(axis=node.axis, at=node.at, first=keep(node.first), second=keep(node.second))

    return keep(bare), worth


def price(
    grid: Grid, found: Callable[[Bare, float], float], deadline: Deadline, rounds: int, start: NDArray[np.float64] | None = None
) -> Priced:
    """Prices with a low bound. `found` is told every layout within the limits and answers the best value so far."""
    limited = grid.copies < UNLIMITED
    caps = np.where(limited, grid.copies, 0).astype(np.float64)
    prices = np.zeros(len(grid.copies)) if start is None else start.copy()
    best: Priced | None = None
    pace, stale = 1.0, 0
    average = np.zeros(len(prices))
    for number in range(rounds):
        values = grid.values - prices[grid.group]
        inner, single = filled(grid, values)
        total = float(prices @ caps)
        bound = total + float(inner[-1, -1])
        if best is None or bound < best.bound - 1e-9:
            best, stale = Priced(prices.copy(), total, inner, bound), 0
        else:
            stale += 1
        bare = traced(grid, values, inner, single, inner.shape[0] - 1, inner.shape[1] - 1)
        rows = uses(grid, bare)
        low = found(*within(grid, bare))
        count = np.bincount(grid.group[rows], minlength=len(prices)) if rows else np.zeros(len(prices))
        over = np.where(limited, count - caps, 0.0)
        if best.bound <= low + 1e-6 or (not (over > 0).any() and not (prices[over < 0] > 0).any()):
            break
        if stale >= 8:
            pace, stale = pace / 2, 0
            prices = best.prices.copy()
            if pace < 1e-3:
                break
        over[(prices <= 0) & (over < 0)] = 0.0
        average = 0.6 * average + over
        norm = float(average @ over)
        if norm <= 0:
            average, norm = over, float(over @ over)
        if norm <= 0:
            break
        prices = np.maximum(0.0, prices + pace * (bound - low + 1e-9) / norm * average)
        if number and deadline.passed():
            break
    assert best is not None
    return best
