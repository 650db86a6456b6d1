"""Rip first: the best set of full-length strips of one stock for given item values."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yieldopt.planning.kernels.strips import stack_strips, strip_values, trace_strip
from yieldopt.planning.kernels.trace import OFFCUT
from yieldopt.planning.pricing.budget import Budget
from yieldopt.planning.wood.cells import HAIR, Cells, Ints

if TYPE_CHECKING:
    from yieldopt.planning.pricing.sections import SectionPricer

# An item lies in a strip only if it has at least this share of the strip's width.
STRIP_SHARE = 0.6

Rows = list[tuple[int, int, int, int, int]]


def _strips(c: Cells, iv: Ints) -> tuple[Ints, npt.NDArray[np.bool_]]:
    """Width in cells of each strip looked at, and which items may lie in it: as wide as an item that is wanted, or as narrow
    as an offcut may be. What may lie in it hangs on the true widths, so that it is the same in both readings."""
    sizes = {(float(c.across[i]), int(c.iw[i])) for i in np.flatnonzero(iv > 0)}
    if c.stock.density and c.umin + c.ky <= c.Y:
        sizes.add((c.least_across, c.umin + c.ky))
    strips = sorted((w, a) for a, w in sizes)
    widths = np.array([w for w, _ in strips], np.int32)
    true = np.array([a for _, a in strips])[:, None]
    alike = (c.across <= true + HAIR) & (c.across >= STRIP_SHARE * true - HAIR)
    return widths, alike & (c.iw <= widths[:, None]) & (iv > 0)


def best_strips(
    pricer: SectionPricer, budget: Budget, iv: Ints, corner: npt.NDArray[np.signedinteger], tail_value: Ints, fine: int
) -> tuple[int, Rows]:
    """Scaled worth of the best layout within the full budget, and its rows (what, item or offcut's rows, x, y, where its
    strip ends); `tail_value` is in units of 1 / 2^fine of the item values `iv`, see `kernels.strips`."""
    c = pricer.cells
    if not len(c.items) or not c.X:
        return 0, []
    n = budget.full + 1
    widths, inside = _strips(c, iv)
    item_less = np.ascontiguousarray(budget.less[:, budget.slot_group[budget.slot]])
    strips = np.empty((len(widths), n, c.Y), corner.dtype)
    offcuts = (c.clear, pricer.tail_clear, tail_value, c.ky, c.umin, c.bonus)
    place = (c.flat, c.near, c.far, c.lclass, c.blocks, c.bstart, *offcuts)
    strip_values(c.X, c.Y, c.il, c.iw, iv, item_less, inside, widths, corner, *offcuts, fine, strips)
    top = int(c.height[c.X])
    how, step, part, h = (np.zeros((n, top + 1), np.int64) for _ in range(4))
    clear = (c.clear, pricer.tail_clear, tail_value, c.umin, c.ky, c.bonus, fine)
    stack_strips(top, widths, strips, budget.splits, *clear, how, step, part, h)
    rows: Rows = []
    out = np.zeros((c.X + 1, 4), np.int64)
    y, s = top, budget.full
    while y > 0:
        below = y - int(step[s, y])
        if how[s, y] == len(widths):
            rows.append((OFFCUT, int(step[s, y]) - c.ky, 0, below, c.X))
        elif how[s, y] >= 0:
            _, mine, rest = budget.splits[part[s, y]]
            width = widths[how[s, y]]
            found = trace_strip(below, width, mine, c.X, c.Y, c.il, c.iw, iv << fine, item_less, inside[how[s, y]], *place, out)
            rows += [(int(r[0]), int(r[1]), int(r[2]), int(r[3]), c.X) for r in out[:found]]
            s = int(rest)
        y = below
    return int(h[budget.full, top]) >> fine, rows
