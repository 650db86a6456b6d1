"""Best stacks of strips for every section of a board, and the best chain of sections, for given item values.

All lengths are whole cells of the grid with one kerf added to every size (and to the board), so that neighbours may
touch. Arrays run over section starts `x` innermost, so that the compiler can treat eight starts at once; tiles of
starts keep them in the processor's cache.

A *section* is what two crosscuts leave; its length is that of a *strip filling*: one item, or two end to end. A stack
puts strips side by side across the board, each filled so that it is no longer than the section, and offcut strips.

Copies of some rows can be counted. A *budget* is one combination of how many copies of the counted rows may still be
used; `less[s, g]` is the budget left of `s` after a strip of group `g` (-1: not enough). With nothing counted there is
one budget and one group.
"""

from __future__ import annotations

import numpy as np
from numba import njit

NEVER = -(1 << 29)
TILE = 128


@njit(cache=True, nogil=True)
def _fill(buf, value, shift, t0, il, iw, X, Y, flat, near, far, blocks, b0, b1):
    """buf[y, t] = value where the item may have its corner at (t0 + t + shift, y), else NEVER."""
    T = buf.shape[1]
    for y in range(Y):
        row = buf[y]
        for t in range(T):
            row[t] = NEVER
    n = min(T, X - il - t0 - shift + 1)
    if n <= 0:
        return
    if flat:
        for y in range(max(near[0], 0), min(far[0], Y) - iw + 1):
            row = buf[y]
            for t in range(n):
                row[t] = value
    else:
        for y in range(Y - iw + 1):
            row = buf[y]
            for t in range(n):
                x = t0 + shift + t
                if near[x] <= y and y + iw <= far[x]:
                    row[t] = value
    for b in range(b0, b1):
        first = max(blocks[b, 0] - t0 - shift, 0)
        last = min(blocks[b, 1] - t0 - shift, n)
        if first < last:
            for y in range(max(blocks[b, 2], 0), min(blocks[b, 3], Y)):
                row = buf[y]
                for t in range(first, last):
                    row[t] = NEVER


@njit(cache=True, nogil=True)
def stack_values(
    X,
    Y,
    il,
    iw,
    iv,
    slot,
    order,
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
    lens,
    height,
    clear,
    need_clear,
    strip_value,
    tail_clear,
    tail_value,
    umin,
    ky,
    bonus,
    S,
    tail,
):
    """Value of the best stack within every budget s, for every section length `lens[e]` and start x, into S[s, e, x];
    of the section from x to the far end, into tail[s, x].

    A strip's kind is its `slot`: a width and a group, slots sorted by width. `order` sorts items by length, rows of
    `pairs` are (item, item, total length) sorted by it. `clear[y, x]` counts cells from x on without an unsound defect.
    An offcut strip in section e needs `need_clear[e]` of them and is worth `strip_value[e]` a row of its width (0: none
    is kept), at least `umin` rows; `ky` is the kerf, `bonus` a row granted.
    """
    n_slots = slot_width.shape[0]
    n_budgets = less.shape[0]
    T = TILE
    best = np.empty((n_slots, Y, T), np.int32)
    buf = np.empty((Y, T), np.int32)
    buf2 = np.empty((Y, T), np.int32)
    h = np.empty((n_budgets, Y + 1, T), np.int32)
    rising = np.empty((n_budgets, Y + 1, T), np.int32)
    run = np.empty(T, np.int32)
    need = np.zeros(T, np.int32)
    value = np.zeros(T, np.int32)
    n_len = lens.shape[0]
    for t0 in range(0, X, T):
        n = min(T, X - t0)
        best[:] = NEVER
        ip = 0
        pp = 0
        for e in range(n_len + 1):
            is_tail = e == n_len
            L = X if is_tail else lens[e]
            if not is_tail and X - t0 < L:
                S[:, e, t0 : t0 + n] = NEVER
                continue
            while ip < order.shape[0] and il[order[ip]] <= L:
                i = order[ip]
                ip += 1
                if iv[i] > 0:
                    _fill(
                        buf,
                        iv[i],
                        0,
                        t0,
                        il[i],
                        iw[i],
                        X,
                        Y,
                        flat,
                        near[lclass[i]],
                        far[lclass[i]],
                        blocks,
                        bstart[i],
                        bstart[i + 1],
                    )
                    for y in range(Y - iw[i] + 1):
                        a = best[slot[i], y]
                        c = buf[y]
                        for t in range(T):
                            a[t] = max(a[t], c[t])
            while pp < pairs.shape[0] and pairs[pp, 2] <= L:
                i = pairs[pp, 0]
                j = pairs[pp, 1]
                k = pair_slot[pp]
                pp += 1
                if k >= 0 and iv[i] > 0 and iv[j] > 0:
                    _fill(
                        buf,
                        iv[i],
                        0,
                        t0,
                        il[i],
                        iw[i],
                        X,
                        Y,
                        flat,
                        near[lclass[i]],
                        far[lclass[i]],
                        blocks,
                        bstart[i],
                        bstart[i + 1],
                    )
                    _fill(
                        buf2,
                        iv[j],
                        il[i],
                        t0,
                        il[j],
                        iw[j],
                        X,
                        Y,
                        flat,
                        near[lclass[j]],
                        far[lclass[j]],
                        blocks,
                        bstart[j],
                        bstart[j + 1],
                    )
                    for y in range(Y - slot_width[k] + 1):
                        a = best[k, y]
                        c = buf[y]
                        d = buf2[y]
                        for t in range(T):
                            a[t] = max(a[t], c[t] + d[t])
            top = Y if is_tail else height[L]
            offcuts = is_tail or strip_value[e] > 0
            for t in range(T):
                run[t] = 0
            for s in range(n_budgets):
                for t in range(T):
                    h[s, 0, t] = 0
                    rising[s, 0, t] = NEVER
            if offcuts:
                for t in range(n):
                    need[t] = tail_clear[t0 + t] if is_tail else need_clear[e]
                    value[t] = tail_value[t0 + t] if is_tail else strip_value[e]
            for y in range(1, top + 1):
                if offcuts:
                    cl = clear[y - 1, t0 : t0 + T]
                    for t in range(cl.shape[0]):
                        run[t] = (run[t] + 1) * (1 if cl[t] >= need[t] else 0)
                for s in range(n_budgets):
                    r = h[s, y]
                    p = h[s, y - 1]
                    for t in range(T):
                        r[t] = p[t]
                    for w in range(n_slots):
                        ww = slot_width[w]
                        if ww > y:
                            break
                        s2 = less[s, slot_group[w]]
                        if s2 >= 0:
                            q = h[s2, y - ww]
                            b = best[w, y - ww]
                            for t in range(T):
                                r[t] = max(r[t], q[t] + b[t])
                    if offcuts:
                        o = rising[s, y]
                        u = rising[s, y - 1]
                        start = h[s, max(y - umin, 0)]
                        for t in range(n):
                            v = max(u[t] + value[t], start[t] + value[t] * (umin + bonus) if run[t] >= umin else NEVER)
                            o[t] = v if run[t] > 0 and value[t] > 0 else NEVER
                        if y >= ky:
                            o = rising[s, y - ky]
                            for t in range(n):
                                r[t] = max(r[t], o[t])
            for s in range(n_budgets):
                if is_tail:
                    for t in range(n):
                        tail[s, t0 + t] = h[s, height[X - t0 - t], t]
                else:
                    for t in range(n):
                        S[s, e, t0 + t] = h[s, top, t] if t0 + t + L <= X else NEVER


@njit(cache=True, nogil=True)
def chain(X, lens, splits, S, tail, F, C, B):
    """Best chain of sections from x to the far end within budget s into F[s, x]. C[s, x] is the section's index,
    len(lens) for the section up to the end, -1 for a cell left empty; B[s, x] the budget that section uses.

    Rows of `splits` are (budget, part for the section, part for the rest).
    """
    n_len = lens.shape[0]
    n_budgets = F.shape[0]
    for s in range(n_budgets):
        F[s, X] = 0
    for x in range(X - 1, -1, -1):
        for s in range(n_budgets):
            F[s, x] = F[s, x + 1]
            C[s, x] = -1
            B[s, x] = 0
            if tail[s, x] > F[s, x]:
                F[s, x] = tail[s, x]
                C[s, x] = n_len
                B[s, x] = s
        for k in range(splits.shape[0]):
            s = splits[k, 0]
            s1 = splits[k, 1]
            s2 = splits[k, 2]
            f = F[s, x]
            c = C[s, x]
            b = B[s, x]
            for e in range(n_len):
                if x + lens[e] > X:
                    break
                v = S[s1, e, x] + F[s2, x + lens[e]]
                # A tie goes to cutting here rather than to empty cells: what is left stays in one piece at the far end.
                if v > f or (v == f and c < 0):
                    f = v
                    c = e
                    b = s1
            F[s, x] = f
            C[s, x] = c
            B[s, x] = b
