"""Rip first: full-length strips, each crosscut into items end to end, and what is left of them kept as offcuts.

Cells and budgets as in `sections.py`. A strip has the width of one of the items; narrower ones may lie in it, along its
near edge. `item_less[s, i]` is the budget left of s after item i (-1: not enough).
"""

from __future__ import annotations

import numpy as np
from numba import njit

from yieldopt.planning.kernels.sections import NEVER
from yieldopt.planning.kernels.trace import ITEM, OFFCUT, _allowed


@njit(cache=True, nogil=True)
def strip_values(
    X,
    Y,
    il,
    iw,
    iv,
    item_less,
    share,
    widths,
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
    """out[k, s, y]: worth of the best full-length strip of width widths[k] with its near edge at row y within budget s,
    an offcut at its far end included. Items narrower than `share` of the strip are left out."""
    n_items = il.shape[0]
    n_budgets = item_less.shape[0]
    ok = np.zeros((n_items, X, Y), np.bool_)
    for i in range(n_items):
        if iv[i] <= 0:
            continue
        for x in range(X - il[i] + 1):
            k = 0 if flat else x
            for y in range(max(near[lclass[i], k], 0), min(far[lclass[i], k], Y) - iw[i] + 1):
                ok[i, x, y] = True
        for b in range(bstart[i], bstart[i + 1]):
            ok[i, max(blocks[b, 0], 0) : max(blocks[b, 1], 0), max(blocks[b, 2], 0) : max(blocks[b, 3], 0)] = False
    f = np.empty((n_budgets, X + 1, Y), np.int32)
    for k in range(widths.shape[0]):
        w = widths[k]
        wood = w - ky
        top = Y - w + 1
        out[k] = NEVER
        f[:, X] = 0
        for x in range(X - 1, -1, -1):
            for s in range(n_budgets):
                r = f[s, x]
                p = f[s, x + 1]
                for y in range(top):
                    r[y] = p[y]
                if tail_value[x] > 0 and wood + bonus >= umin:
                    run = 0
                    for y in range(top + w - 1):
                        run = run + 1 if clear[y, x] >= tail_clear[x] else 0
                        first = y - wood + 1
                        if run >= wood and 0 <= first < top:
                            r[first] = max(r[first], tail_value[x] * (wood + bonus))
                for i in range(n_items):
                    s2 = item_less[s, i]
                    if s2 >= 0 and iv[i] > 0 and iw[i] <= w and iw[i] >= share * w and x + il[i] <= X:
                        a = ok[i, x]
                        q = f[s2, x + il[i]]
                        v = iv[i]
                        for y in range(top):
                            r[y] = max(r[y], q[y] + v if a[y] else NEVER)
        for s in range(n_budgets):
            for y in range(top):
                out[k, s, y] = f[s, 0, y]


@njit(cache=True, nogil=True)
def stack_strips(top, widths, strips, splits, clear, tail_clear, tail_value, umin, ky, bonus, how, step, part, h):
    """Best set of strips side by side up to row `top` within each budget into h[s]; how[s, y] is the strip's width index,
    len(widths) for a full-length offcut, -1 for an empty row; step[s, y] its rows, part[s, y] the budget it uses.
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
                if w <= y and strips[k, s1, y - w] > 0 and h[s2, y - w] + strips[k, s1, y - w] > h[s, y]:
                    h[s, y] = h[s2, y - w] + strips[k, s1, y - w]
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
    share,
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
    """What lies in one full-length strip: rows (ITEM, item, x, y) or (OFFCUT, rows, x, y) into `out`; returns how many."""
    n_budgets = item_less.shape[0]
    f = np.zeros((n_budgets, X + 1), np.int64)
    how = np.full((n_budgets, X + 1), -1, np.int64)
    wood = w - ky
    for x in range(X - 1, -1, -1):
        free = tail_value[x] > 0 and wood + bonus >= umin
        if free:
            for r in range(y, y + wood):
                if clear[r, x] < tail_clear[x]:
                    free = False
        for s in range(n_budgets):
            f[s, x] = f[s, x + 1]
            if free and tail_value[x] * (wood + bonus) > f[s, x]:
                f[s, x] = tail_value[x] * (wood + bonus)
                how[s, x] = il.shape[0]
            for i in range(il.shape[0]):
                s2 = item_less[s, i]
                if s2 < 0 or iv[i] <= 0 or iw[i] > w or iw[i] < share * w or x + il[i] > X or f[s2, x + il[i]] + iv[i] <= f[s, x]:
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
