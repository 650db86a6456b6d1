"""Branch and bound over the parts of one sheet with defects.

A part is worth the table's value where no defect touches it; elsewhere it is cut in two at sums of item sides counted
from its near edge or from the far edge of a defect (push every item towards the origin until it meets an edge, a cut or
a defect), and both halves are looked up again. Parts are shrunk to the extents that items can reach before they are
remembered. A part's value is bracketed by `low` and `high`.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from yieldopt.planning.kernels.guillotine_flaws import ceiling, find, first_layout, half, shrink

_EPS = 1e-7


@njit(cache=True, nogil=True)
def enter(n, table, parts, value, x, y, l, w, density, spoilt, fx, fy, best):  # noqa: E741
    """Number of the part, which is new if that is `n`; -1 when there is no room for it."""
    slot, k = find(table, parts, x, y, l, w)
    if k < 0:
        if n == len(parts):
            return -1
        k = n
        table[slot] = k
        parts[k, 0], parts[k, 1], parts[k, 2], parts[k, 3] = x, y, l, w
        parts[k, 4] = parts[k, 5] = parts[k, 6] = 0
        value[k, 0] = 0.0
        value[k, 1] = ceiling(x, y, l, w, density, spoilt, fx, fy, best)
    return k


@njit(cache=True, nogil=True)
def list_cuts(k, m, floor, cand, bound, seen, table, parts, value, kx, ky, density, defects, spoilt, sx, fx, sy, fy, best):
    """Append the cuts of part `k` whose bound exceeds `floor`, best first, from row `m` on.

    Returns the arrays (enlarged if need be), the row after the last, and the highest bound among the cuts left out.
    """
    x, y, l, w = parts[k, 0], parts[k, 1], parts[k, 2], parts[k, 3]  # noqa: E741
    begin = m
    missed = 0.0
    for axis in range(2):
        extent = l if axis == 0 else w
        near = x if axis == 0 else y
        seen[: extent + 1] = 0
        for d in range(-1, len(defects)):
            base = 0
            if d >= 0:
                if not (defects[d, 0] < x + l - kx and defects[d, 2] > x and defects[d, 1] < y + w - ky and defects[d, 3] > y):
                    continue
                base = defects[d, 2 + axis] - near
            if base >= extent:
                continue
            top = fx[extent - base] if axis == 0 else fy[extent - base]
            for q in range(top + 1):
                seen[base + (sx[q] if axis == 0 else sy[q])] = 1
        before = -1.0
        for c in range(extent - 1, 0, -1):
            if seen[c] == 0:
                continue
            total = 0.0
            for h in range(1, -1, -1):
                cx, cy, cl, cw = half(h, axis, c, x, y, l, w)
                cl, cw, touched = shrink(cx, cy, cl, cw, kx, ky, defects, sx, fx, sy, fy)
                if cl <= 0 or cw <= 0:
                    if h == 1:
                        # Nothing beyond the cut: the first cut inside the near part does as well.
                        total = -1.0
                        break
                elif not touched:
                    worth = best[fx[cl], fy[cw]]
                    if h == 1:
                        # A clean far part worth no more than at a larger cut, which leaves a larger near part.
                        if worth == before:
                            total = -1.0
                            break
                        before = worth
                    else:
                        # A clean near part worth no more than at the next smaller cut likewise.
                        less = best[fx[cl - 1], fy[cw]] if axis == 0 else best[fx[cl], fy[cw - 1]]
                        if worth == less:
                            total = -1.0
                            break
                    total += worth
                else:
                    if h == 1:
                        before = -1.0
                    roof = ceiling(cx, cy, cl, cw, density, spoilt, fx, fy, best)
                    if total + roof > floor:
                        _, o = find(table, parts, cx, cy, cl, cw)
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
    return cand, bound, m, missed


@njit(cache=True, nogil=True)
def search(
    budget, table, parts, value, n, root, kx, ky, density, defects, spoilt, avoid, item_l, item_w, item_v, sx, fx, sy, fy, best
):
    """Bracket the root part until its value is exact, the budget of opened parts is spent, or `parts` is full.

    parts[k]: x, y, l, w, kind, at, visited. kind 0 nothing, 1 item `at`, 2 cut across x at `at`, 3 across y.
    value[k]: low, high. Returns (parts used, status): 0 exact, 1 budget spent, 2 full, 3 cut too deep. Calling again goes on.
    """
    deepest = 1024
    # Frames: the part, its rows of `cand` still open, what it must beat, the best bound given up.
    frame = np.zeros((deepest, 3), np.int64)
    floors = np.empty((deepest, 2))
    cand = np.empty((4096, 2), np.int64)
    bound = np.empty(4096, np.float64)
    seen = np.zeros(max(len(fx), len(fy)) + 1, np.uint8)
    child = np.zeros(2, np.int64)
    low = np.zeros(2)
    high = np.zeros(2)
    depth = 0
    if n == 0:
        enter(n, table, parts, value, root[0], root[1], root[2], root[3], density, spoilt, fx, fy, best)
        n = 1
    opening = 0
    floor = 0.0
    status = 0
    while True:
        if opening >= 0:
            k = opening
            opening = -1
            x, y, l, w = parts[k, 0], parts[k, 1], parts[k, 2], parts[k, 3]  # noqa: E741
            begin = frame[depth - 1, 2] if depth > 0 else 0
            if parts[k, 6] == 0:
                parts[k, 6] = 1
                first_layout(k, parts, value, kx, ky, defects, avoid, item_l, item_w, item_v, fx, fy, best)
            floor = max(floor, value[k, 0])
            if depth == deepest:
                status = 3
                break
            if budget <= 0:
                status = 1
                break
            m = begin
            missed = value[k, 0]
            if value[k, 1] > floor + _EPS:
                budget -= 1
                cand, bound, m, left_out = list_cuts(
                    k, m, floor, cand, bound, seen, table, parts, value,
                    kx, ky, density, defects, spoilt, sx, fx, sy, fy, best,
                )  # fmt: skip
                missed = max(missed, left_out)
            else:
                missed = value[k, 1]
            frame[depth, 0], frame[depth, 1], frame[depth, 2] = k, begin, m
            floors[depth, 0], floors[depth, 1] = floor, missed
            depth += 1
        f = depth - 1
        k = frame[f, 0]
        floor = floors[f, 0]
        g = frame[f, 1]
        if g < frame[f, 2] and bound[g] <= floor + _EPS:
            # Sorted: nothing after it can do better.
            floors[f, 1] = max(floors[f, 1], bound[g])
            g = frame[f, 1] = frame[f, 2]
        if g == frame[f, 2]:
            value[k, 1] = max(value[k, 0], min(value[k, 1], floors[f, 1]))
            depth -= 1
            if depth == 0:
                break
            continue
        x, y, l, w = parts[k, 0], parts[k, 1], parts[k, 2], parts[k, 3]  # noqa: E741
        c = cand[g, 1]
        for h in range(2):
            cx, cy, cl, cw = half(h, cand[g, 0], c, x, y, l, w)
            cl, cw, touched = shrink(cx, cy, cl, cw, kx, ky, defects, sx, fx, sy, fy)
            child[h] = -1
            if cl <= 0 or cw <= 0:
                low[h] = high[h] = 0.0
            elif not touched:
                low[h] = high[h] = best[fx[cl], fy[cw]]
            else:
                o = enter(n, table, parts, value, cx, cy, cl, cw, density, spoilt, fx, fy, best)
                if o < 0:
                    status = 2
                    break
                n = max(n, o + 1)
                child[h] = o
                low[h] = value[o, 0]
                high[h] = value[o, 1]
        if status == 2:
            break
        if low[0] + low[1] > value[k, 0]:
            value[k, 0] = low[0] + low[1]
            parts[k, 4] = 2 + cand[g, 0]
            parts[k, 5] = c + (x if cand[g, 0] == 0 else y)
            floor = floors[f, 0] = max(floor, value[k, 0])
        total = high[0] + high[1]
        if total <= floor + _EPS or (low[0] == high[0] and low[1] == high[1]):
            floors[f, 1] = max(floors[f, 1], total)
            frame[f, 1] += 1
            continue
        if g + 1 < frame[f, 2] and total < bound[g + 1] - _EPS:
            # Its bound has dropped behind the next: let that one go first.
            bound[g] = total
            q = g
            while q + 1 < frame[f, 2] and bound[q] < bound[q + 1]:
                bound[q], bound[q + 1] = bound[q + 1], bound[q]
                for e in range(2):
                    cand[q, e], cand[q + 1, e] = cand[q + 1, e], cand[q, e]
                q += 1
            continue
        h = 0 if low[0] < high[0] else 1
        opening = child[h]
        floor -= high[1 - h]
    # Stopped early: what is still open in each frame bounds its part.
    while depth > 0:
        depth -= 1
        k = frame[depth, 0]
        roof = max(value[k, 0], floors[depth, 1])
        for g in range(frame[depth, 1], frame[depth, 2]):
            roof = max(roof, bound[g])
        value[k, 1] = min(value[k, 1], roof)
    return n, status
