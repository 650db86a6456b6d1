"""Rip first: the best set of full-length strips of one stock for given item values."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yieldopt.planning.kernels.stock import Ints, Offcuts
from yieldopt.planning.kernels.strips import Ripped, Rips, stack_strips, strip_values, trace_strip
from yieldopt.planning.kernels.trace import OFFCUT
from yieldopt.planning.pricing.budget import Budget
from yieldopt.planning.wood.cells import HAIR, Cells

Rows = list[tuple[int, int, int, int, int]]


def _rips(c: Cells, iv: Ints, budget: Budget, share: float) -> Rips:
    """Width in cells of each strip looked at, and which items may lie in it: as wide as an item that is wanted, or as narrow
    as an offcut may be. An item lies in a strip only if it has at least this `share` of its width; that hangs on the true
    widths, so that it is the same in both readings."""
    ground, least = c.ground, c.offcut_rows + c.kerf_across
    sizes = {(float(c.true_width[i]), int(ground.item_width[i])) for i in np.flatnonzero(iv > 0)}
    if c.stock.density and least <= ground.width:
        sizes.add((c.true_offcut_width, least))
    strips = sorted((w, a) for a, w in sizes)
    widths = np.array([w for w, _ in strips], np.int32)
    true = np.array([a for _, a in strips])[:, None]
    alike = (c.true_width <= true + HAIR) & (c.true_width >= share * true - HAIR)
    b = budget.strips
    less = np.ascontiguousarray(b.less[:, b.group[b.item_slot]])
    return Rips(widths, alike & (ground.item_width <= widths[:, None]) & (iv > 0), less)


def best_strips(
    c: Cells, budget: Budget, iv: Ints, corner: npt.NDArray[np.signedinteger], offcuts: Offcuts, share: float
) -> tuple[int, Rows]:
    """Scaled worth of the best layout within the full budget, and its rows (what, item or offcut's rows, x, y, where its
    strip ends). `share`: see `_rips`."""
    ground, fine = c.ground, offcuts.fine
    if not len(c.items) or not ground.length:
        return 0, []
    n = budget.full + 1
    rips = _rips(c, iv, budget, share)
    strips = np.empty((len(rips.width), n, ground.width), corner.dtype)
    strip_values(ground, rips, corner, offcuts, strips)
    top = int(c.height[ground.length])
    ripped = Ripped(*(np.zeros((n, top + 1), np.int64) for _ in Ripped._fields))
    stack_strips(rips, strips, budget.splits, offcuts, ripped)
    rows: Rows = []
    out = np.zeros((ground.length + 1, 4), np.int64)
    y, s = top, budget.full
    while y > 0:
        k, below = int(ripped.how[s, y]), y - int(ripped.step[s, y])
        if k == len(rips.width):
            rows.append((OFFCUT, y - below - c.kerf_across, 0, below, ground.length))
        elif k >= 0:
            _, mine, rest = budget.splits[ripped.split[s, y]]
            found = trace_strip(k, below, mine, ground, iv << fine, rips, offcuts, out)
            rows += [(int(r[0]), int(r[1]), int(r[2]), int(r[3]), ground.length) for r in out[:found]]
            s = int(rest)
        y = below
    return int(ripped.worth[budget.full, top]) >> fine, rows
