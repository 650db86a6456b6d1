"""Rip first: full-length strips, each crosscut into items end to end, and what is left of them kept as offcuts.

Cells and budgets as in `sections.py`. A strip has the width of one of the items; narrower ones may lie in it, along its
near edge. `item_less[s, i]` is the budget left of s after item i (-1: not enough).
"""

from __future__ import annotations

import numpy as np
from numba import njit

from yieldopt.planning.kernels.sections import never_of
from yieldopt.planning.kernels.trace import ITEM, NEVER, OFFCUT, _allowed


@njit(cache=True, nogil=True)
def strip_values(X, Y, il, iw, iv, item_less, inside, widths, corner, clear, tail_clear, tail_value, ky, umin, bonus, fine, out):
    """out[k, s, y]: worth of the best full-length strip of width widths[k] with its near edge at row y within budget s,
    an offcut at its far end included. Only items i with inside[k, i] lie in it. `corner` as filled by
    `corner_values`; `tail_value[x]` / 2^fine is what a row of an offcut from x on is worth."""
    n_items = il.shape[0]
    n_budgets = item_less.shape[0]
    kind = out.dtype.type
    never = never_of(out)
    f = np.empty((n_budgets, X + 1), out.dtype)
    # Where each row begins to be clear up to the far end.
    begins = np.empty(Y, np.int64)
    for y in range(Y):
        x = X
        while x > 0 and clear[y, x - 1] >= tail_clear[x - 1]:
            x -= 1
        begins[y] = x
    for k in range(widths.shape[0]):
        w = widths[k]
        wood = w - ky
        kept = wood + bonus if wood + bonus >= umin else 0
        within = [i for i in range(n_items) if inside[k, i]]
        # Positions that no item reaches from within the same block, so that a block can be filled item by item.
        block = X
        for i in within:
            block = min(block, il[i])
        out[k] = never
        for y in range(Y - w + 1):
            start = X
            if kept:
                start = 0
                for row in range(y, y + wood):
                    start = max(start, begins[row])
            for s in range(n_budgets):
                f[s] = 0
                for x in range(start, X):
                    f[s, x] = (tail_value[x] * kept) >> fine
            for x1 in range(X, 0, -block):
                x0 = max(0, x1 - block)
                for s in range(n_budgets):
                    for i in within:
                        s2 = item_less[s, i]
                        n = min(x1, X - il[i] + 1) - x0
                        if s2 >= 0 and n > 0:
                            r = f[s, x0 : x0 + n]
                            q = f[s2, x0 + il[i] : x0 + il[i] + n]
                            c = corner[i, y, x0 : x0 + n]
                            for t in range(n):
                                r[t] = max(r[t], kind(q[t] + c[t]))
                    for x in range(x1 - 1, x0 - 1, -1):
                        f[s, x] = max(f[s, x], f[s, x + 1])
            for s in range(n_budgets):
                out[k, s, y] = f[s, 0]


@njit(cache=True, nogil=True)
def stack_strips(top, widths, strips, splits, clear, tail_clear, tail_value, umin, ky, bonus, fine, how, step, part, h):
    """Best set of strips side by side up to row `top` within each budget into h[s], in the finer units; how[s, y] is the
    strip's width index, len(widths) for a full-length offcut, -1 for an empty row; step[s, y] its rows, part[s, y] the
    budget it uses.
    Rows of `splits` are (budget, part for the strip, part for the rest)."""
    n = widths.shape[0]
    n_budgets = h.shape[0]
    rising = np.full((n_budgets, top + 1), NEVER, np.int64)
    began = np.zeros((n_budgets, top + 1), np.int64)
    run = 0
    h[:, 0] = 0
    for y in range(1, top + 1):
        free = tail_value[0] > 0 and clear[y - 1, 0] >= tail_clear[0]
        run = run + 1 if free else 0
        for s in range(n_budgets):
            h[s, y] = h[s, y - 1]
            how[s, y] = -1
            step[s, y] = 1
        for j in range(splits.shape[0]):
            s, s1, s2 = splits[j, 0], splits[j, 1], splits[j, 2]
            for k in range(n):
                w = widths[k]
                if w > y or strips[k, s1, y - w] <= 0:
                    continue
                worth = h[s2, y - w] + (np.int64(strips[k, s1, y - w]) << fine)
                if worth > h[s, y]:
                    h[s, y] = worth
                    how[s, y] = k
                    step[s, y] = w
                    part[s, y] = j
        for s in range(n_budgets):
            if free:
                rising[s, y] = rising[s, y - 1] + tail_value[0]
                began[s, y] = began[s, y - 1]
                if run >= umin and h[s, y - umin] + tail_value[0] * (umin + bonus) > rising[s, y]:
                    rising[s, y] = h[s, y - umin] + tail_value[0] * (umin + bonus)
                    began[s, y] = y - umin
            if y >= ky and rising[s, y - ky] > h[s, y]:
                h[s, y] = rising[s, y - ky]
                how[s, y] = n
                step[s, y] = y - began[s, y - ky]


@njit(cache=True, nogil=True)
def trace_strip(
    y,
    w,
    budget,
    X,
    Y,
    il,
    iw,
    iv,
    item_less,
    inside,
    flat,
    near,
    far,
    lclass,
    blocks,
    bstart,
    clear,
    tail_clear,
    tail_value,
    ky,
    umin,
    bonus,
    out,
):
    """What lies in one full-length strip, worths in the finer units: rows (ITEM, item, x, y) or (OFFCUT, rows, x, y) into
    `out`; returns how many."""
    n_budgets = item_less.shape[0]
    f = np.zeros((n_budgets, X + 1), np.int64)
    how = np.full((n_budgets, X + 1), -1, np.int64)
    wood = w - ky
    for x in range(X - 1, -1, -1):
        free = tail_value[x] > 0 and wood + bonus >= umin
        if free:
            for row in range(y, y + wood):
                if clear[row, x] < tail_clear[x]:
                    free = False
        for s in range(n_budgets):
            f[s, x] = f[s, x + 1]
            if free and tail_value[x] * (wood + bonus) > f[s, x]:
                f[s, x] = tail_value[x] * (wood + bonus)
                how[s, x] = il.shape[0]
            for i in range(il.shape[0]):
                s2 = item_less[s, i]
                if s2 < 0 or not inside[i] or x + il[i] > X or f[s2, x + il[i]] + iv[i] <= f[s, x]:
                    continue
                if _allowed(x, y, il[i], iw[i], X, Y, flat, near[lclass[i]], far[lclass[i]], blocks, bstart[i], bstart[i + 1]):
                    f[s, x] = f[s2, x + il[i]] + iv[i]
                    how[s, x] = i
    n = 0
    x = 0
    s = budget
    while x < X:
        if how[s, x] < 0 or f[s, x] == f[s, x + 1]:
            x += 1
        elif how[s, x] == il.shape[0]:
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = OFFCUT, wood, x, y
            return n + 1
        else:
            i = how[s, x]
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = ITEM, i, x, y
            n += 1
            s = item_less[s, i]
            x += il[i]
    return n
