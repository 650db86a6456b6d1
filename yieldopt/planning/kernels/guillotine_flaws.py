"""Branch and bound over the parts of one sheet with defects.

A part is a rectangle at a place. It is worth the table's value where no defect touches it; elsewhere it is cut in two at
sums of item sides counted from its near edge or from the far edge of a defect (push every item towards the origin until
it meets an edge, a cut or a defect), and both halves are looked up again. Parts are shrunk to the extents that items can
reach before they are remembered. A part's value is bracketed by `low` and `high`.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

_EPS = 1e-7


@njit(cache=True, nogil=True)
def shrink(x, y, l, w, kx, ky, defects, sx, fx, sy, fy):  # type: ignore[no-untyped-def]  # noqa: E741
    """The part (x, y, l, w) cut back to the extents items can reach; the last value tells whether a defect touches it."""
    while True:
        old_l, old_w = l, w
        if l <= 0 or w <= 0:
            return 0, 0, False
        best_l = sx[fx[l]]
        best_w = sy[fy[w]]
        touched = False
        for d in range(len(defects)):
            x1, y1, x2, y2 = defects[d, 0], defects[d, 1], defects[d, 2], defects[d, 3]
            if x1 < x + l - kx and x2 > x and y1 < y + w - ky and y2 > y:
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
def ceiling(x, y, l, w, density, spoilt, fx, fy, best):  # type: ignore[no-untyped-def]  # noqa: E741
    """No layout of the part is worth more: the table's value without defects, and its area less the spoilt one."""
    area = l * w
    for s in range(len(spoilt)):
        dl = min(x + l, spoilt[s, 2]) - max(x, spoilt[s, 0])
        dw = min(y + w, spoilt[s, 3]) - max(y, spoilt[s, 1])
        if dl > 0 and dw > 0:
            area -= dl * dw
    return min(best[fx[l], fy[w]], density * area)


@njit(cache=True, nogil=True)
def find(table, parts, x, y, l, w):  # type: ignore[no-untyped-def]  # noqa: E741
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
        if k < 0 or (parts[k, 0] == x and parts[k, 1] == y and parts[k, 2] == l and parts[k, 3] == w):
            return slot, k
        slot = (slot + np.uint64(1)) & mask


@njit(cache=True, nogil=True)
def rehash(table, parts, n):  # type: ignore[no-untyped-def]
    """Enter parts 0..n-1 into an empty table."""
    for k in range(n):
        slot, _ = find(table, parts, parts[k, 0], parts[k, 1], parts[k, 2], parts[k, 3])
        table[slot] = k


@njit(cache=True, nogil=True)
def search(  # type: ignore[no-untyped-def]
    budget, table, parts, value, n, root, kx, ky, density, defects, spoilt, avoid, item_l, item_w, item_v, sx, fx, sy, fy, best
):
    """Bracket the root part until its value is exact, the budget of opened parts is spent, or `parts` is full.

    parts[k]: x, y, l, w, kind, at, exact shape known. kind 0 nothing, 1 item `at`, 2 cut across x at `at`, 3 across y.
    value[k]: low, high. Returns (parts used, status): 0 exact, 1 budget spent, 2 full. Calling again goes on.
    """
    stack_part = np.empty(256, np.int64)
    stack_from = np.empty(256, np.int64)
    stack_to = np.empty(256, np.int64)
    stack_floor = np.empty(256, np.float64)
    stack_missed = np.empty(256, np.float64)
    cand = np.empty((4096, 2), np.int64)
    bound = np.empty(4096, np.float64)
    seen = np.zeros(len(fx) + len(fy), np.int64)
    stamp = 0
    child = np.zeros(2, np.int64)
    low = np.zeros(2)
    high = np.zeros(2)
    # Open the root: number 0 is made on the first call.
    depth = 0
    opening = 0
    if n == 0:
        slot, k = find(table, parts, root[0], root[1], root[2], root[3])
        table[slot] = 0
        parts[0, :4] = root
        value[0, 0] = 0.0
        value[0, 1] = ceiling(root[0], root[1], root[2], root[3], density, spoilt, fx, fy, best)
        n = 1
    pending_floor = value[0, 0]
    status = 0
    while True:
        if opening >= 0:
            k = opening
            opening = -1
            x, y, l, w = parts[k, 0], parts[k, 1], parts[k, 2], parts[k, 3]  # noqa: E741
            begin = stack_to[depth - 1] if depth > 0 else 0
            m = begin
            if parts[k, 6] == 0:
                # First visit: the best single item, and the clean rectangle on each side of all defects.
                parts[k, 6] = 1
                for t in range(len(item_l)):
                    if item_l[t] <= l and item_w[t] <= w and item_v[t] > value[k, 0]:
                        free = True
                        for d in range(len(defects)):
                            if (avoid[t, d] and defects[d, 0] < x + item_l[t] - kx and defects[d, 2] > x
                                    and defects[d, 1] < y + item_w[t] - ky and defects[d, 3] > y):  # fmt: skip
                                free = False
                                break
                        if free:
                            value[k, 0] = item_v[t]
                            parts[k, 4] = 1
                            parts[k, 5] = t
                near_x, near_y, far_x, far_y = x + l, y + w, x, y
                for d in range(len(defects)):
                    if (defects[d, 0] < x + l - kx and defects[d, 2] > x
                            and defects[d, 1] < y + w - ky and defects[d, 3] > y):  # fmt: skip
                        near_x = min(near_x, defects[d, 0] + kx)
                        near_y = min(near_y, defects[d, 1] + ky)
                        far_x = max(far_x, defects[d, 2])
                        far_y = max(far_y, defects[d, 3])
                for side in range(4):
                    v = 0.0
                    if side == 0 and near_x > x:
                        v, at, kind = best[fx[near_x - x], fy[w]], near_x, 2
                    elif side == 1 and far_x < x + l:
                        v, at, kind = best[fx[x + l - far_x], fy[w]], far_x, 2
                    elif side == 2 and near_y > y:
                        v, at, kind = best[fx[l], fy[near_y - y]], near_y, 3
                    elif side == 3 and far_y < y + w:
                        v, at, kind = best[fx[l], fy[y + w - far_y]], far_y, 3
                    if v > value[k, 0]:
                        value[k, 0] = v
                        parts[k, 4] = kind
                        parts[k, 5] = at
            floor = max(pending_floor, value[k, 0])
            missed = value[k, 0]
            if value[k, 1] > floor + _EPS:
                budget -= 1
                for axis in range(2):
                    stamp += 1
                    extent = l if axis == 0 else w
                    near = x if axis == 0 else y
                    for d in range(-1, len(defects)):
                        base = 0
                        if d >= 0:
                            if not (defects[d, 0] < x + l - kx and defects[d, 2] > x
                                    and defects[d, 1] < y + w - ky and defects[d, 3] > y):  # fmt: skip
                                continue
                            base = defects[d, 2 + axis] - near
                        if base < 0 or base >= extent:
                            continue
                        top = fx[extent - base] if axis == 0 else fy[extent - base]
                        for q in range(top + 1):
                            c = base + (sx[q] if axis == 0 else sy[q])
                            if 0 < c < extent:
                                seen[c] = stamp
                    before = -1
                    for c in range(extent - 1, 0, -1):
                        if seen[c] != stamp:
                            continue
                        total = 0.0
                        for h in range(2):
                            if axis == 0:
                                cx, cy, cl, cw = (x, y, c, w) if h == 0 else (x + c, y, l - c, w)
                            else:
                                cx, cy, cl, cw = (x, y, l, c) if h == 0 else (x, y + c, l, w - c)
                            cl, cw, touched = shrink(cx, cy, cl, cw, kx, ky, defects, sx, fx, sy, fy)
                            if cl <= 0 or cw <= 0:
                                if h == 1:
                                    # Nothing beyond the cut: the first cut inside the near part does as well.
                                    total = -1.0
                                continue
                            if not touched:
                                if h == 1:
                                    same = cl if axis == 0 else cw
                                    if same == before:
                                        total = -1.0
                                        break
                                    before = same
                                total += best[fx[cl], fy[cw]]
                            else:
                                if h == 1:
                                    before = -1
                                roof = ceiling(cx, cy, cl, cw, density, spoilt, fx, fy, best)
                                if total + roof > floor:
                                    slot, o = find(table, parts, cx, cy, cl, cw)
                                    if o >= 0:
                                        roof = value[o, 1]
                                total += roof
                        if total <= floor + _EPS:
                            missed = max(missed, total)
                            continue
                        if m == len(bound):
                            more = np.empty((2 * m, 2), np.int64)
                            more[:m] = cand
                            cand = more
                            wide = np.empty(2 * m, np.float64)
                            wide[:m] = bound
                            bound = wide
                        cand[m, 0] = axis
                        cand[m, 1] = c
                        bound[m] = total
                        m += 1
                order = np.argsort(-bound[begin:m], kind="mergesort")
                cand[begin:m] = cand[begin:m][order]
                bound[begin:m] = bound[begin:m][order]
            if depth == len(stack_part):
                status = 3
                break
            stack_part[depth] = k
            stack_from[depth] = begin
            stack_to[depth] = m
            stack_floor[depth] = floor
            stack_missed[depth] = missed
            depth += 1
            if budget <= 0:
                status = 1
                break
        top_frame = depth - 1
        k = stack_part[top_frame]
        if stack_from[top_frame] == stack_to[top_frame]:
            value[k, 1] = max(value[k, 0], min(value[k, 1], stack_missed[top_frame]))
            depth -= 1
            if depth == 0:
                break
            continue
        g = stack_from[top_frame]
        floor = stack_floor[top_frame]
        if bound[g] <= floor + _EPS:
            # Sorted: nothing after it can do better.
            stack_missed[top_frame] = max(stack_missed[top_frame], bound[g])
            stack_from[top_frame] = stack_to[top_frame]
            continue
        x, y, l, w = parts[k, 0], parts[k, 1], parts[k, 2], parts[k, 3]  # noqa: E741
        c = cand[g, 1]
        for h in range(2):
            if cand[g, 0] == 0:
                cx, cy, cl, cw = (x, y, c, w) if h == 0 else (x + c, y, l - c, w)
            else:
                cx, cy, cl, cw = (x, y, l, c) if h == 0 else (x, y + c, l, w - c)
            cl, cw, touched = shrink(cx, cy, cl, cw, kx, ky, defects, sx, fx, sy, fy)
            child[h] = -1
            if cl <= 0 or cw <= 0:
                low[h] = high[h] = 0.0
            elif not touched:
                low[h] = high[h] = best[fx[cl], fy[cw]]
            else:
                slot, o = find(table, parts, cx, cy, cl, cw)
                if o < 0:
                    if n == len(parts):
                        status = 2
                        break
                    o = n
                    n += 1
                    table[slot] = o
                    parts[o, 0], parts[o, 1], parts[o, 2], parts[o, 3] = cx, cy, cl, cw
                    parts[o, 4] = parts[o, 5] = parts[o, 6] = 0
                    value[o, 0] = 0.0
                    value[o, 1] = ceiling(cx, cy, cl, cw, density, spoilt, fx, fy, best)
                child[h] = o
                low[h] = value[o, 0]
                high[h] = value[o, 1]
        if status == 2:
            break
        if low[0] + low[1] > value[k, 0]:
            value[k, 0] = low[0] + low[1]
            parts[k, 4] = 2 + cand[g, 0]
            parts[k, 5] = c + (x if cand[g, 0] == 0 else y)
            if value[k, 0] > floor:
                floor = value[k, 0]
                stack_floor[top_frame] = floor
        total = high[0] + high[1]
        if total <= floor + _EPS or (low[0] == high[0] and low[1] == high[1]):
            stack_missed[top_frame] = max(stack_missed[top_frame], total)
            stack_from[top_frame] += 1
            continue
        if g + 1 < stack_to[top_frame] and total < bound[g + 1] - _EPS:
            # Its bound has dropped behind the next: let that one go first.
            bound[g] = total
            q = g
            while q + 1 < stack_to[top_frame] and bound[q] < bound[q + 1]:
                bound[q], bound[q + 1] = bound[q + 1], bound[q]
                for f in range(2):
                    cand[q, f], cand[q + 1, f] = cand[q + 1, f], cand[q, f]
                q += 1
            continue
        h = 0 if low[0] < high[0] else 1
        opening = child[h]
        pending_floor = floor - high[1 - h]
    # Stopped early: what is still open in each frame bounds its part.
    while depth > 0:
        depth -= 1
        k = stack_part[depth]
        top_bound = max(value[k, 0], stack_missed[depth])
        for g in range(stack_from[depth], stack_to[depth]):
            top_bound = max(top_bound, bound[g])
        value[k, 1] = min(value[k, 1], top_bound)
    return n, status
