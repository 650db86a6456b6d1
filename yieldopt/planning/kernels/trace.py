"""The stack behind one value of the section step: which strips, and where; one section at a time, so plain loops do.

Cells, budgets and slots are those of `sections.py`.
"""

from __future__ import annotations

import numpy as np
from numba import njit

# Worth of what can't be, far below any worth.
NEVER = -(1 << 50)
# What a trace row holds in its first column.
ITEM, OFFCUT = 0, 1


@njit(cache=True, nogil=True)
def _allowed(x, y, il, iw, X, Y, flat, near, far, blocks, b0, b1):
    if x < 0 or y < 0 or x + il > X or y + iw > Y:
        return False
    k = 0 if flat else x
    if y < near[k] or y + iw > far[k]:
        return False
    for b in range(b0, b1):  # noqa: SIM110 - compiled: no generators
        if blocks[b, 0] <= x < blocks[b, 1] and blocks[b, 2] <= y < blocks[b, 3]:
            return False
    return True


@njit(cache=True, nogil=True)
def trace_stack(
    x,
    L,
    top,
    budget,
    X,
    Y,
    il,
    iw,
    iv,
    slot,
    pairs,
    pair_slot,
    slot_width,
    slot_group,
    less,
    flat,
    near,
    far,
    lclass,
    blocks,
    bstart,
    clear,
    need,
    value,
    umin,
    ky,
    bonus,
    out,
):
    """The stack behind a value of `stack_values`, worths in its finer units: rows (ITEM, item, x, y) or (OFFCUT, rows,
    x, y) into `out`; returns how many. The value it reaches is left in out[0, 4]."""
    n_budgets = less.shape[0]
    h = np.zeros((n_budgets, top + 1), np.int64)
    rising = np.full((n_budgets, top + 1), NEVER, np.int64)
    began = np.zeros((n_budgets, top + 1), np.int64)
    # How h[s, y] came about: -1 nothing, item, n_items + pair, or n_items + n_pairs for an offcut.
    how = np.full((n_budgets, top + 1), -1, np.int64)
    step = np.zeros((n_budgets, top + 1), np.int64)
    n_items = il.shape[0]
    run = 0
    for y in range(1, top + 1):
        free = value > 0 and clear[y - 1, x] >= need
        run = run + 1 if free else 0
        for s in range(n_budgets):
            h[s, y] = h[s, y - 1]
        for i in range(n_items):
            if il[i] > L:
                break
            if (
                iv[i] > 0
                and iw[i] <= y
                and _allowed(
                    x, y - iw[i], il[i], iw[i], X, Y, flat, near[lclass[i]], far[lclass[i]], blocks, bstart[i], bstart[i + 1]
                )
            ):
                for s in range(n_budgets):
                    s2 = less[s, slot_group[slot[i]]]
                    if s2 >= 0 and h[s2, y - iw[i]] + iv[i] > h[s, y]:
                        h[s, y] = h[s2, y - iw[i]] + iv[i]
                        how[s, y] = i
                        step[s, y] = iw[i]
        for p in range(pairs.shape[0]):
            if pairs[p, 2] > L:
                break
            i = pairs[p, 0]
            j = pairs[p, 1]
            if pair_slot[p] < 0 or iv[i] <= 0 or iv[j] <= 0:
                continue
            w = slot_width[pair_slot[p]]
            if w > y:
                continue
            if _allowed(
                x, y - w, il[i], iw[i], X, Y, flat, near[lclass[i]], far[lclass[i]], blocks, bstart[i], bstart[i + 1]
            ) and _allowed(
                x + il[i], y - w, il[j], iw[j], X, Y, flat, near[lclass[j]], far[lclass[j]], blocks, bstart[j], bstart[j + 1]
            ):
                for s in range(n_budgets):
                    s2 = less[s, slot_group[pair_slot[p]]]
                    if s2 >= 0 and h[s2, y - w] + iv[i] + iv[j] > h[s, y]:
                        h[s, y] = h[s2, y - w] + iv[i] + iv[j]
                        how[s, y] = n_items + p
                        step[s, y] = w
        for s in range(n_budgets):
            if free:
                rising[s, y] = rising[s, y - 1] + value
                began[s, y] = began[s, y - 1]
                if run >= umin and h[s, y - umin] + value * (umin + bonus) > rising[s, y]:
                    rising[s, y] = h[s, y - umin] + value * (umin + bonus)
                    began[s, y] = y - umin
            if y >= ky and rising[s, y - ky] > h[s, y]:
                h[s, y] = rising[s, y - ky]
                how[s, y] = n_items + pairs.shape[0]
                step[s, y] = y - began[s, y - ky]
    out[0, 4] = h[budget, top]
    n = 0
    y = top
    s = budget
    while y > 0:
        if how[s, y] < 0:
            y -= 1
            continue
        below = y - step[s, y]
        k = how[s, y]
        if k < n_items:
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = ITEM, k, x, below
            n += 1
            s = less[s, slot_group[slot[k]]]
        elif k < n_items + pairs.shape[0]:
            i, j = pairs[k - n_items, 0], pairs[k - n_items, 1]
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = ITEM, i, x, below
            out[n + 1, 0], out[n + 1, 1], out[n + 1, 2], out[n + 1, 3] = ITEM, j, x + il[i], below
            n += 2
            s = less[s, slot_group[pair_slot[k - n_items]]]
        else:
            out[n, 0], out[n, 1], out[n, 2], out[n, 3] = OFFCUT, step[s, y] - ky, x, below
            n += 1
        y = below
    return n
