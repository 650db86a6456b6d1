"""Rip first: full-length strips, each crosscut into items end to end, and what is left of them kept as offcuts.

Cells as in `sections.py`. A strip has the width of one of the items; narrower ones may lie in it, along its near edge.
Copies are not counted here.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from yieldopt.planning.kernels.sections import NEVER
from yieldopt.planning.kernels.trace import ITEM, OFFCUT, _allowed


@njit(cache=True, nogil=True)
def strip_values(
    X, Y, il, iw, iv, share, widths, flat, near, far, lclass, blocks, bstart, clear, tail_clear, tail_value, ky, umin, bonus, out
):
    """out[k, y]: worth of the best full-length strip of width widths[k] with its near edge at row y, offcut at the far
    end included. Items narrower than `share` of the strip are left out."""
    n_items = il.shape[0]
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
    f = np.empty((X + 1, Y), np.int32)
    for k in range(widths.shape[0]):
        w = widths[k]
        wood = w - ky
        top = Y - w + 1
        for y in range(Y):
            f[X, y] = 0
            out[k, y] = NEVER
        for x in range(X - 1, -1, -1):
            r = f[x]
            p = f[x + 1]
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
                if iv[i] > 0 and iw[i] <= w and iw[i] >= share * w and x + il[i] <= X:
                    a = ok[i, x]
                    q = f[x + il[i]]
                    v = iv[i]
                    for y in range(top):
                        r[y] = max(r[y], q[y] + v if a[y] else NEVER)
        for y in range(top):
            out[k, y] = f[0, y]


@njit(cache=True, nogil=True)
def stack_strips(top, widths, strips, clear, tail_clear, tail_value, umin, ky, bonus, how, step, h):
    """Best set of strips side by side up to row `top` into h; how[y] is the strip's width index, len(widths) for a
    full-length offcut, -1 for an empty row; step[y] its rows."""
    n = widths.shape[0]
    rising = np.full(top + 1, NEVER, np.int64)
    began = np.zeros(top + 1, np.int64)
    run = 0
    h[0] = 0
    for y in range(1, top + 1):
        h[y] = h[y - 1]
        how[y] = -1
        step[y] = 1
        for k in range(n):
            w = widths[k]
            if w <= y and strips[k, y - w] > 0 and h[y - w] + strips[k, y - w] > h[y]:
                h[y] = h[y - w] + strips[k, y - w]
                how[y] = k
                step[y] = w
        if tail_value[0] > 0 and clear[y - 1, 0] >= tail_clear[0]:
            run += 1
            rising[y] = rising[y - 1] + tail_value[0]
            began[y] = began[y - 1]
            if run >= umin and h[y - umin] + tail_value[0] * (umin + bonus) > rising[y]:
                rising[y] = h[y - umin] + tail_value[0] * (umin + bonus)
                began[y] = y - umin
        else:
            run = 0
        if y >= ky and rising[y - ky] > h[y]:
            h[y] = rising[y - ky]
            how[y] = n
            step[y] = y - began[y - ky]


@njit(cache=True, nogil=True)
def trace_strip(
    y, w, X, Y, il, iw, iv, share, flat, near, far, lclass, blocks, bstart, clear, tail_clear, tail_value, ky, umin, bonus, out
):
    """What lies in one full-length strip: rows (ITEM, item, x, y) or (OFFCUT, rows, x, y) into `out`; returns how many."""
    f = np.zeros(X + 1, np.int64)
    how = np.full(X + 1, -1, np.int64)
    wood = w - ky
    for x in range(X - 1, -1, -1):
        f[x] = f[x + 1]
        if tail_value[x] > 0 and wood + bonus >= umin:
            free = True
            for r in range(y, y + wood):
                if clear[r, x] < tail_clear[x]:
                    free = False
            if free and tail_value[x] * (wood + bonus) > f[x]:
                f[x] = tail_value[x] * (wood + bonus)
                how[x] = il.shape[0]
        for i in range(il.shape[0]):
            if iv[i] <= 0 or iw[i] > w or iw[i] < share * w or x + il[i] > X or f[x + il[i]] + iv[i] <= f[x]:
                continue
            if _allowed(x, y, il[i], iw[i], X, Y, flat, near[lclass[i]], far[lclass[i]], blocks, bstart[i], bstart[i + 1]):
                f[x] = f[x + il[i]] + iv[i]
                how[x] = i
    n = 0
    x = 0
    while x < X:
        if how[x] < 0 or f[x] == f[x + 1]:
            x += 1
        elif how[x] == il.shape[0]:
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = OFFCUT, wood, x, y
            return n + 1
        else:
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = ITEM, how[x], x, y
            n += 1
            x += il[how[x]]
    return n
