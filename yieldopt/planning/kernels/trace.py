"""The stack behind one value of the section step: which strips, and where; one section at a time, so plain loops do."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

from yieldopt.planning.kernels.offcuts import close_offcut, grow_offcut, no_offcuts
from yieldopt.planning.kernels.stock import may_lie

# What a trace row holds in its first column.
ITEM, OFFCUT = 0, 1
# How a row of a stack came about where nothing ends there.
NOTHING = -1


class Section(NamedTuple):
    """One section: its start and cells along the board, its rows, what an offcut in it needs and is worth a row."""

    start: int
    length: int
    rows: int
    need: int
    value: int


class _Stack(NamedTuple):
    """The best stack up to row y within budget s."""

    worth: npt.NDArray[np.int64]
    # NOTHING, an item, items + pair, or items + pairs for an offcut; and the rows that it takes.
    how: npt.NDArray[np.int64]
    step: npt.NDArray[np.int64]


@njit(cache=True, nogil=True)
def _put(stack, strips, slot, y, width, worth, what):
    """The strip of a slot on top of what lies below it, wherever that is better."""
    for s in range(stack.worth.shape[0]):
        s2 = strips.less[s, strips.group[slot]]
        if s2 >= 0 and stack.worth[s2, y - width] + worth > stack.worth[s, y]:
            stack.worth[s, y] = stack.worth[s2, y - width] + worth
            stack.how[s, y] = what
            stack.step[s, y] = width


@njit(cache=True, nogil=True)
def _put_items(stack, section, ground, values, strips, y):
    for i in range(values.shape[0]):
        if ground.item_length[i] > section.length:
            break
        width = ground.item_width[i]
        if values[i] > 0 and width <= y and may_lie(ground, i, section.start, y - width):
            _put(stack, strips, strips.item_slot[i], y, width, values[i], i)


@njit(cache=True, nogil=True)
def _put_pairs(stack, section, ground, values, strips, y):
    x = section.start
    for p in range(strips.pairs.shape[0]):
        i, j = strips.pairs[p, 0], strips.pairs[p, 1]
        if strips.pairs[p, 2] > section.length:
            break
        if strips.pair_slot[p] < 0 or values[i] <= 0 or values[j] <= 0:
            continue
        width = strips.width[strips.pair_slot[p]]
        if width <= y and may_lie(ground, i, x, y - width) and may_lie(ground, j, x + ground.item_length[i], y - width):
            _put(stack, strips, strips.pair_slot[p], y, width, values[i] + values[j], values.shape[0] + p)


@njit(cache=True, nogil=True)
def _read(stack, section, ground, strips, budget, kerf, out):
    """Rows of `out` from the top of the stack down; returns how many."""
    n_items, n_pairs = ground.item_length.shape[0], strips.pairs.shape[0]
    n, y, s, x = 0, section.rows, budget, section.start
    while y > 0:
        k = stack.how[s, y]
        if k == NOTHING:
            y -= 1
            continue
        below = y - stack.step[s, y]
        if k < n_items:
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = ITEM, k, x, below
            n += 1
            s = strips.less[s, strips.group[strips.item_slot[k]]]
        elif k < n_items + n_pairs:
            i, j = strips.pairs[k - n_items, 0], strips.pairs[k - n_items, 1]
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = ITEM, i, x, below
            out[n + 1, 0], out[n + 1, 1], out[n + 1, 2], out[n + 1, 3] = ITEM, j, x + ground.item_length[i], below
            n += 2
            s = strips.less[s, strips.group[strips.pair_slot[k - n_items]]]
        else:
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = OFFCUT, stack.step[s, y] - kerf, x, below
            n += 1
        y = below
    return n


@njit(cache=True, nogil=True)
def trace_stack(section, budget, ground, values, strips, offcuts, out):
    """The stack behind a value of `stack_values`, `values` in its finer units: rows (ITEM, item, x, y) or (OFFCUT, rows, x, y)
    into `out`; returns how many. The value it reaches is left in out[0, 4]."""
    n_budgets, top = strips.less.shape[0], section.rows
    stack = _Stack(
        np.zeros((n_budgets, top + 1), np.int64),
        np.full((n_budgets, top + 1), NOTHING, np.int64),
        np.zeros((n_budgets, top + 1), np.int64),
    )
    rising = no_offcuts(n_budgets, top)
    run = 0
    for y in range(1, top + 1):
        free = section.value > 0 and offcuts.clear[y - 1, section.start] >= section.need
        run = run + 1 if free else 0
        for s in range(n_budgets):
            stack.worth[s, y] = stack.worth[s, y - 1]
        _put_items(stack, section, ground, values, strips, y)
        _put_pairs(stack, section, ground, values, strips, y)
        for s in range(n_budgets):
            if free:
                grow_offcut(rising, stack.worth, s, y, run, section.value, offcuts)
            rows = close_offcut(rising, stack.worth, s, y, offcuts)
            if rows:
                stack.how[s, y] = values.shape[0] + strips.pairs.shape[0]
                stack.step[s, y] = rows
    out[0, 4] = stack.worth[budget, top]
    return _read(stack, section, ground, strips, budget, offcuts.kerf, out)
