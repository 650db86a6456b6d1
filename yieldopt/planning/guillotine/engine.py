"""One door to the engine: which method a sheet and its items call for."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from yieldopt.planning.guillotine.capped import solve_capped
from yieldopt.planning.guillotine.flawed import Flawed, relevant, settled, solve_flawed
from yieldopt.planning.guillotine.grid import UNLIMITED, make_grid
from yieldopt.planning.guillotine.layout import NOTHING, Bare, grown
from yieldopt.planning.guillotine.model import Answer, Deadline, Item, Sheet, counts_of
from yieldopt.planning.guillotine.plain import solve_plain
from yieldopt.planning.guillotine.prices import uses, within


def solve(sheet: Sheet, items: Sequence[Item], deadline: Deadline | float | None = None) -> Answer:
    """The best guillotine layout of `sheet`, any number of stages, edge-to-edge cuts that may run through defects.

    `deadline` is a `Deadline` or seconds; without one the search runs until the optimum is proven where the method is exact
    (everything but limits on copies on a sheet with defects, which stops at the bound that prices give). The answer's
    bound holds whenever it stops. The same input gives the same answer unless the time runs out.
    """
    if not isinstance(deadline, Deadline):
        deadline = Deadline(deadline)
    grid = make_grid(sheet, items, capped=True)
    limited = bool((grid.copies < UNLIMITED).any()) or any(item.copies == 0 for item in items)
    defects, _ = relevant(sheet, items, [int(k) for k in grid.index])
    if defects:
        return solve_flawed_capped(sheet, items, deadline) if limited else solve_flawed(sheet, items, deadline)
    return solve_capped(sheet, items, deadline) if limited else solve_plain(sheet, items)


def solve_flawed_capped(sheet: Sheet, items: Sequence[Item], deadline: Deadline, rounds: int = 40) -> Answer:
    """Defects and limits together: prices on limited items around the exact search without limits.

    Every round gives a bound and, less the copies beyond the limits, a layout. Seldom proven when limits are tight.
    """
    grid = make_grid(sheet, items, capped=True, reduced=False)
    limited = grid.copies < UNLIMITED
    caps = np.where(limited, grid.copies, 0).astype(np.float64)
    row = {int(k): r for r, k in enumerate(grid.index)}
    prices = np.zeros(len(caps))
    best: tuple[float, Bare] = (0.0, NOTHING)
    bound, pace = float("inf"), 1.0
    for _ in range(rounds):
        values = [0.0] * len(items)
        for k, r in row.items():
            values[k] = float(grid.values[r] - prices[grid.group[r]])
        search = Flawed(sheet, items, values)
        _, high = search.run(deadline.part(0.5) if bound < float("inf") else deadline)
        high += float(prices @ caps)
        pace = pace if high < bound - 1e-9 else pace * 0.7
        bound = min(bound, high)
        bare = settled(items, sheet, search.bare())
        kept, worth = within(grid, bare)
        if worth > best[0]:
            best = (worth, kept)
        rows = uses(grid, bare)
        count = np.bincount(grid.group[rows], minlength=len(caps)) if rows else np.zeros(len(caps))
        over = np.where(limited, count - caps, 0.0)
        over[(prices <= 0) & (over < 0)] = 0.0
        norm = float(over @ over)
        if bound <= best[0] + 1e-6 or norm == 0.0 or deadline.passed():
            break
        prices = np.maximum(0.0, prices + pace * (high - best[0]) / norm * over)
    layout = grown(sheet, items, best[1])
    return Answer(layout, best[0], max(bound, best[0]), counts_of(layout, items))
