"""Rip first: the best set of full-length strips of one stock for given item values."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from yieldopt.planning.cells import Ints
from yieldopt.planning.kernels.strips import stack_strips, strip_values, trace_strip
from yieldopt.planning.kernels.trace import OFFCUT

if TYPE_CHECKING:
    from yieldopt.planning.sections import SectionPricer

# An item lies in a strip only if it has at least this share of the strip's width.
STRIP_SHARE = 0.6

Rows = list[tuple[int, int, int, int, int]]


def best_strips(pricer: SectionPricer, iv: Ints, tail_value: Ints) -> tuple[int, Rows]:
    """Scaled worth of the best layout and its rows (what, item or offcut's rows, x, y, length up to its end)."""
    c = pricer.cells
    if not len(c.items) or not c.X:
        return 0, []
    widths = np.unique(c.iw[iv > 0]).astype(np.int32)
    strips = np.empty((len(widths), c.Y), np.int32)
    shape = (c.flat, c.near, c.far, c.lclass, c.blocks, c.bstart, c.clear, pricer.tail_clear, tail_value, c.ky, c.umin, c.bonus)
    strip_values(c.X, c.Y, c.il, c.iw, iv, STRIP_SHARE, widths, *shape, strips)
    top = int(c.height[c.X])
    how, step, h = np.zeros(top + 1, np.int64), np.ones(top + 1, np.int64), np.zeros(top + 1, np.int64)
    stack_strips(top, widths, strips, c.clear, pricer.tail_clear, tail_value, c.umin, c.ky, c.bonus, how, step, h)
    rows: Rows = []
    out = np.zeros((c.X + 1, 4), np.int64)
    y = top
    while y > 0:
        below = y - int(step[y])
        if how[y] == len(widths):
            rows.append((OFFCUT, int(step[y]) - c.ky, 0, below, c.X))
        elif how[y] >= 0:
            n = trace_strip(below, widths[how[y]], c.X, c.Y, c.il, c.iw, iv, STRIP_SHARE, *shape, out)
            rows += [(int(r[0]), int(r[1]), int(r[2]), int(r[3]), c.X - int(r[2])) for r in out[:n]]
        y = below
    return int(h[top]), rows
