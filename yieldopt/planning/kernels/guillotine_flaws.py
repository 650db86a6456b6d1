"""Parts of a sheet with defects: how far items reach in them, what they can be worth at most, where they are remembered.

A part is a rectangle at a place. `defects` holds x1, y1, x2, y2 by row.
"""

from __future__ import annotations

import numpy as np
from numba import njit


@njit(cache=True, nogil=True)
def shrink(x, y, l, w, kx, ky, defects, sx, fx, sy, fy):  # noqa: E741
    """The part cut back to the extents items can reach in it: (l, w, whether a defect touches it)."""
    while True:
        old_l, old_w = l, w
        if l <= 0 or w <= 0:
            return 0, 0, False
        best_l = sx[fx[l]]
        best_w = sy[fy[w]]
        touched = False
        for d in range(len(defects)):
            x2, y2 = defects[d, 2], defects[d, 3]
            if defects[d, 0] < x + l - kx and x2 > x and defects[d, 1] < y + w - ky and y2 > y:
                touched = True
                if x2 < x + l:
                    best_l = max(best_l, x2 - x + sx[fx[x + l - x2]])
                if y2 < y + w:
                    best_w = max(best_w, y2 - y + sy[fy[y + w - y2]])
        l, w = best_l, best_w  # noqa: E741
        if not touched:
            return l, w, False
        if l == old_l and w == old_w:
            return l, w, True


@njit(cache=True, nogil=True)
def ceiling(x, y, l, w, density, spoilt, fx, fy, best):  # noqa: E741
    """No layout of the part is worth more: the table's value without defects, and its area less the spoilt one.

    `spoilt` holds disjoint rectangles x1, y1, x2, y2 that no item can cover.
    """
    area = l * w
    for s in range(len(spoilt)):
        dl = min(x + l, spoilt[s, 2]) - max(x, spoilt[s, 0])
        dw = min(y + w, spoilt[s, 3]) - max(y, spoilt[s, 1])
        if dl > 0 and dw > 0:
            area -= dl * dw
    return min(best[fx[l], fy[w]], density * area)


@njit(cache=True, nogil=True)
def find(table, parts, x, y, l, w):  # noqa: E741
    """Slot of the part in the hash table, and its number there or -1."""
    mask = np.uint64(len(table) - 1)
    h = np.uint64(x) * np.uint64(0x9E3779B97F4A7C15) + np.uint64(y) * np.uint64(0xC2B2AE3D27D4EB4F)
    h += np.uint64(l) * np.uint64(0x165667B19E3779F9) + np.uint64(w) * np.uint64(0xD6E8FEB86659FD93)
    h ^= h >> np.uint64(29)
    h *= np.uint64(0xBF58476D1CE4E5B9)
    h ^= h >> np.uint64(32)
    slot = h & mask
    while True:
        k = table[slot]
        if k < 0:
            return slot, k
        if parts[k, 0] == x and parts[k, 1] == y and parts[k, 2] == l and parts[k, 3] == w:
            return slot, k
        slot = (slot + np.uint64(1)) & mask


@njit(cache=True, nogil=True)
def rehash(table, parts, n):
    """Enter parts 0..n-1 into an empty table."""
    for k in range(n):
        slot, _ = find(table, parts, parts[k, 0], parts[k, 1], parts[k, 2], parts[k, 3])
        table[slot] = k


@njit(cache=True, nogil=True)
def half(h, axis, c, x, y, l, w):  # noqa: E741
    """The near (h = 0) or far (h = 1) half of a part cut across `axis` at distance `c`."""
    if axis == 0:
        if h == 0:
            return x, y, c, w
        return x + c, y, l - c, w
    if h == 0:
        return x, y, l, c
    return x, y + c, l, w - c


@njit(cache=True, nogil=True)
def first_layout(k, parts, value, kx, ky, defects, avoid, item_l, item_w, item_v, fx, fy, best):
    """Raise the part's low value by the best single item in its near corner and by the clean rectangles on each side
    of all its defects."""
    x, y, l, w = parts[k, 0], parts[k, 1], parts[k, 2], parts[k, 3]  # noqa: E741
    near_x, near_y, far_x, far_y = x + l, y + w, x, y
    for d in range(len(defects)):
        if defects[d, 0] < x + l - kx and defects[d, 2] > x and defects[d, 1] < y + w - ky and defects[d, 3] > y:
            near_x = min(near_x, defects[d, 0] + kx)
            near_y = min(near_y, defects[d, 1] + ky)
            far_x = max(far_x, defects[d, 2])
            far_y = max(far_y, defects[d, 3])
    for t in range(len(item_l)):
        if item_l[t] <= l and item_w[t] <= w and item_v[t] > value[k, 0]:
            free = True
            for d in range(len(defects)):
                if (
                    avoid[t, d]
                    and defects[d, 0] < x + item_l[t] - kx and defects[d, 2] > x
                    and defects[d, 1] < y + item_w[t] - ky and defects[d, 3] > y
                ):  # fmt: skip
                    free = False
                    break
            if free:
                value[k, 0] = item_v[t]
                parts[k, 4] = 1
                parts[k, 5] = t
    for side in range(4):
        v = 0.0
        at = 0
        if side == 0 and near_x > x:
            v, at = best[fx[near_x - x], fy[w]], near_x
        elif side == 1 and far_x < x + l:
            v, at = best[fx[x + l - far_x], fy[w]], far_x
        elif side == 2 and near_y > y:
            v, at = best[fx[l], fy[near_y - y]], near_y
        elif side == 3 and far_y < y + w:
            v, at = best[fx[l], fy[y + w - far_y]], far_y
        if v > value[k, 0]:
            value[k, 0] = v
            parts[k, 4] = 2 + side // 2
            parts[k, 5] = at
