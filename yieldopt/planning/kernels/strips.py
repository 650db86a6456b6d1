"""Rip first: full-length strips, each crosscut into items end to end, and what is left of them kept as offcuts.

Cells and budgets as in `stock.py`. A strip has the width of one of the items; narrower ones may lie in it, along its near
edge.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

from yieldopt.planning.kernels.offcuts import close_offcut, grow_offcut, no_offcuts
from yieldopt.planning.kernels.stock import Ints, may_lie, never_of
from yieldopt.planning.kernels.trace import ITEM, NOTHING, OFFCUT


class Rips(NamedTuple):
    """Full-length strips: widths, inside[k, i] whether item i may lie in strip k, and less[s, i], the budget left of s after
    item i (-1: not enough)."""

    width: Ints
    inside: npt.NDArray[np.bool_]
    less: Ints


class Ripped(NamedTuple):
    """The best strips side by side up to row y within budget s, in the finer units."""

    worth: npt.NDArray[np.int64]
    # The strip's index, their number for a full-length offcut, -1 for an empty row; the rows that it takes; the row of the
    # budget's splits that it goes by.
    how: npt.NDArray[np.int64]
    step: npt.NDArray[np.int64]
    split: npt.NDArray[np.int64]


@njit(cache=True, nogil=True)
def _clear_from(offcuts, y, length):
    """Where row y begins to be clear up to the far end."""
    x = length
    while x > 0 and offcuts.clear[y, x - 1] >= offcuts.tail_need[x - 1]:
        x -= 1
    return x


@njit(cache=True, nogil=True)
def _fill(worth, ground, less, within, corner, y):
    """worth[s, x]: of a strip at row y from x to the far end within budget s; filled already with what an offcut is worth."""
    kind = worth.dtype.type
    length = ground.length
    # Positions that no item reaches from within the same block, so that a block can be filled item by item.
    block = length
    for i in within:
        block = min(block, ground.item_length[i])
    for x1 in range(length, 0, -block):
        x0 = max(0, x1 - block)
        for s in range(worth.shape[0]):
            for i in within:
                s2 = less[s, i]
                reach = ground.item_length[i]
                n = min(x1, length - reach + 1) - x0
                if s2 >= 0 and n > 0:
                    r = worth[s, x0 : x0 + n]
                    q = worth[s2, x0 + reach : x0 + reach + n]
                    c = corner[i, y, x0 : x0 + n]
                    for t in range(n):
                        r[t] = max(r[t], kind(q[t] + c[t]))
            for x in range(x1 - 1, x0 - 1, -1):
                worth[s, x] = max(worth[s, x], worth[s, x + 1])


@njit(cache=True, nogil=True)
def strip_values(ground, rips, corner, offcuts, out):
    """out[k, s, y]: worth of the best full-length strip k with its near edge at row y within budget s, an offcut at its far
    end included. `corner` as filled by `corner_values`."""
    n_budgets, length = rips.less.shape[0], ground.length
    worth = np.empty((n_budgets, length + 1), out.dtype)
    begins = np.empty(ground.width, np.int64)
    for y in range(ground.width):
        begins[y] = _clear_from(offcuts, y, length)
    for k in range(rips.width.shape[0]):
        wood = rips.width[k] - offcuts.kerf
        kept = wood + offcuts.granted if wood + offcuts.granted >= offcuts.fewest else 0
        within = np.flatnonzero(rips.inside[k])
        out[k] = never_of(out)
        for y in range(ground.width - rips.width[k] + 1):
            start = begins[y : y + wood].max() if kept and wood > 0 else 0 if kept else length
            for s in range(n_budgets):
                worth[s] = 0
                for x in range(start, length):
                    worth[s, x] = (offcuts.tail_value[x] * kept) >> offcuts.fine
            _fill(worth, ground, rips.less, within, corner, y)
            for s in range(n_budgets):
                out[k, s, y] = worth[s, 0]


@njit(cache=True, nogil=True)
def stack_strips(rips, strips, splits, offcuts, ripped):
    """Best set of strips side by side, of the worths `strips`. Rows of `splits` are (budget, part for the strip, part for the
    rest)."""
    n = rips.width.shape[0]
    n_budgets, top = ripped.worth.shape[0], ripped.worth.shape[1] - 1
    rising = no_offcuts(n_budgets, top)
    value = np.int64(offcuts.tail_value[0])
    run = 0
    ripped.worth[:, 0] = 0
    for y in range(1, top + 1):
        free = value > 0 and offcuts.clear[y - 1, 0] >= offcuts.tail_need[0]
        run = run + 1 if free else 0
        for s in range(n_budgets):
            ripped.worth[s, y] = ripped.worth[s, y - 1]
            ripped.how[s, y] = NOTHING
            ripped.step[s, y] = 1
        for j in range(splits.shape[0]):
            s, s1, s2 = splits[j, 0], splits[j, 1], splits[j, 2]
            for k in range(n):
                w = rips.width[k]
                if w > y or strips[k, s1, y - w] <= 0:
                    continue
                worth = ripped.worth[s2, y - w] + (np.int64(strips[k, s1, y - w]) << offcuts.fine)
                if worth > ripped.worth[s, y]:
                    ripped.worth[s, y] = worth
                    ripped.how[s, y] = k
                    ripped.step[s, y] = w
                    ripped.split[s, y] = j
        for s in range(n_budgets):
            if free:
                grow_offcut(rising, ripped.worth, s, y, run, value, offcuts)
            rows = close_offcut(rising, ripped.worth, s, y, offcuts)
            if rows:
                ripped.how[s, y] = n
                ripped.step[s, y] = rows


@njit(cache=True, nogil=True)
def trace_strip(k, y, budget, ground, values, rips, offcuts, out):
    """What lies in full-length strip k at row y, `values` in the finer units: rows (ITEM, item, x, y) or (OFFCUT, rows, x, y)
    into `out`; returns how many."""
    n_budgets, length, n_items = rips.less.shape[0], ground.length, values.shape[0]
    worth = np.zeros((n_budgets, length + 1), np.int64)
    how = np.full((n_budgets, length + 1), NOTHING, np.int64)
    wood = rips.width[k] - offcuts.kerf
    kept = wood + offcuts.granted
    for x in range(length - 1, -1, -1):
        free = offcuts.tail_value[x] > 0 and kept >= offcuts.fewest
        if free:
            for row in range(y, y + wood):
                if offcuts.clear[row, x] < offcuts.tail_need[x]:
                    free = False
        for s in range(n_budgets):
            worth[s, x] = worth[s, x + 1]
            if free and offcuts.tail_value[x] * kept > worth[s, x]:
                worth[s, x] = offcuts.tail_value[x] * kept
                how[s, x] = n_items
            for i in range(n_items):
                s2, end = rips.less[s, i], x + ground.item_length[i]
                if s2 < 0 or not rips.inside[k, i] or end > length or worth[s2, end] + values[i] <= worth[s, x]:
                    continue
                if may_lie(ground, i, x, y):
                    worth[s, x] = worth[s2, end] + values[i]
                    how[s, x] = i
    n, x, s = 0, 0, budget
    while x < length:
        i = how[s, x]
        if i == NOTHING or worth[s, x] == worth[s, x + 1]:
            x += 1
        elif i == n_items:
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = OFFCUT, wood, x, y
            return n + 1
        else:
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = ITEM, i, x, y
            n += 1
            s = rips.less[s, i]
            x += ground.item_length[i]
    return n
