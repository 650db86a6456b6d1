"""A sheet without defects, items without limits: one table gives the optimum."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from yieldopt.planning.guillotine.grid import Grid, make_grid
from yieldopt.planning.guillotine.layout import NOTHING, Bare, grown, packed
from yieldopt.planning.guillotine.model import Answer, Item, Sheet, counts_of


def filled(grid: Grid, values: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Tables by pair of extents: the best layout's value, and the best single item's; `values` one per grid item."""
    from yieldopt.planning.kernels import guillotine_table as kernel

    single = grid.single(values)
    best = single.copy()
    kernel.fill(best, *grid.x.pairs, *grid.y.pairs)
    return best, single


def traced(
    grid: Grid, values: NDArray[np.float64], best: NDArray[np.float64], single: NDArray[np.float64], i: int, j: int
) -> Bare:
    """A layout that attains `best[i, j]`."""
    from yieldopt.planning.kernels import guillotine_table as kernel

    rows = kernel.trace(best, single, i, j, *grid.x.pairs, *grid.y.pairs)
    made: list[Bare] = [NOTHING] * len(rows)
    for r in range(len(rows) - 1, -1, -1):
        i, j, kind, a, b = (int(v) for v in rows[r])
        if kind == 1:
            made[r] = Bare(item=item_at(grid, values, i, j))
        elif kind:
            made[r] = Bare(axis="x" if kind == 2 else "y", first=made[a], second=made[b])
    return made[0]


def item_at(grid: Grid, values: NDArray[np.float64], i: int, j: int) -> int:
    """Index (as the items were given) of the best single item in extents i, j."""
    fits = (grid.lengths <= grid.x.sums[i]) & (grid.widths <= grid.y.sums[j])
    return int(grid.index[int(np.argmax(np.where(fits, values, -np.inf)))])


def solve_plain(sheet: Sheet, items: Sequence[Item]) -> Answer:
    """The best layout of any number of stages, ignoring defects and limits on copies. Exact."""
    grid = make_grid(sheet, items, capped=False)
    best, single = filled(grid, grid.values)
    bare = traced(grid, grid.values, best, single, best.shape[0] - 1, best.shape[1] - 1)
    layout = grown(sheet, items, packed(items, sheet, bare)[0])
    return Answer(layout, float(best[-1, -1]), float(best[-1, -1]), counts_of(layout, items))
