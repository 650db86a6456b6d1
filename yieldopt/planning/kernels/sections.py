"""Best stacks of strips for every section of a board, and the best chain of sections, for given item values.

All lengths are whole cells of the grid with one kerf added to every size (and to the board), so that neighbours may
touch. Arrays run over section starts `x` innermost, so that the compiler can treat many starts at once; tiles of
starts keep them in the processor's cache, and worths of 16 bits twice as many as those of 32.

A *section* is what two crosscuts leave; its length is that of a *strip filling*: one item, or two end to end. A stack
puts strips side by side across the board, each filled so that it is no longer than the section, and offcut strips.

Copies of some rows can be counted. A *budget* is one combination of how many copies of the counted rows may still be
used; `less[s, g]` is the budget left of `s` after a strip of group `g` (-1: not enough). With nothing counted there is
one budget and one group.
"""

from __future__ import annotations

import numpy as np
from numba import njit

TILE = 128


@njit(cache=True, nogil=True)
def never_of(worths):
    """Worth of what can't be, in the type of `worths`: twice it, or it and the greatest worth, stay inside the type."""
    return -(1 << 14) if worths.itemsize == 2 else -(1 << 29)


@njit(cache=True, nogil=True)
def corner_values(X, Y, il, iw, iv, flat, near, far, lclass, blocks, bstart, out):
    """out[i, y, x] = iv[i] where item i may have its corner at (x, y), else never; of items not wanted nothing is written."""
    never = never_of(out)
    for i in range(il.shape[0]):
        if iv[i] <= 0:
            continue
        out[i] = never
        c = lclass[i]
        last = X - il[i] + 1
        if flat:
            for y in range(max(near[c, 0], 0), min(far[c, 0], Y) - iw[i] + 1):
                out[i, y, : max(last, 0)] = iv[i]
        else:
            for y in range(Y - iw[i] + 1):
                row = out[i, y]
                for x in range(last):
                    if near[c, x] <= y and y + iw[i] <= far[c, x]:
                        row[x] = iv[i]
        for b in range(bstart[i], bstart[i + 1]):
            out[i, max(blocks[b, 2], 0) : max(blocks[b, 3], 0), max(blocks[b, 0], 0) : max(blocks[b, 1], 0)] = never


@njit(cache=True, nogil=True)
def stack_values(
    X,
    Y,
    il,
    iv,
    slot,
    pairs,
    pair_slot,
    slot_width,
    slot_group,
    less,
    corner,
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
    fine,
    S,
    tail,
):
    """Value of the best stack within every budget s, for every section length `lens[e]` and start x, into S[s, e, x];
    of the section from x to the far end, into tail[s, x]. Both are of the type in which `corner` holds worths.

    A strip's kind is its `slot`: a width and a group, slots sorted by width. Items are sorted by length, rows of
    `pairs` are (item, item, total length) sorted by it. `clear[y, x]` counts cells from x on without an unsound defect.
    An offcut strip in section e needs `need_clear[e]` of them and is worth `strip_value[e]` / 2^fine a row of its width
    (0: none is kept), at least `umin` rows; `ky` is the kerf, `bonus` a row granted.
    """
    n_slots = slot_width.shape[0]
    n_budgets = less.shape[0]
    T = TILE
    kind = S.dtype.type
    never = never_of(S)
    nothing = never << fine
    best = np.empty((n_slots, Y, T), S.dtype)
    h = np.empty((n_budgets, Y + 1, T), S.dtype)
    rising = np.empty((n_budgets, Y + 1, T), np.int32)
    run = np.empty(T, np.int32)
    need = np.zeros(T, np.int32)
    value = np.zeros(T, np.int32)
    # Greatest clear length of each row within the tile; rows up to which an offcut may be open.
    longest = np.empty(Y, np.int32)
    open_to = np.zeros(Y + 1, np.bool_)
    n_len = lens.shape[0]
    # Rows that no strip reaches from within the same block of rows, so that a block can be filled strip by strip.
    block = max(1, slot_width[0]) if n_slots else Y
    for t0 in range(0, X, T):
        n = min(T, X - t0)
        best[:] = never
        for y in range(Y):
            longest[y] = clear[y, t0 : t0 + n].max()
        ip = 0
        pp = 0
        for e in range(n_len + 1):
            is_tail = e == n_len
            L = X if is_tail else lens[e]
            if not is_tail and X - t0 < L:
                S[:, e, t0 : t0 + n] = never
                continue
            while ip < il.shape[0] and il[ip] <= L:
                i = ip
                ip += 1
                m = min(n, X - il[i] - t0 + 1)
                if iv[i] > 0 and m > 0:
                    a = best[slot[i]]
                    for y in range(Y):
                        for t in range(m):
                            a[y, t] = max(a[y, t], corner[i, y, t0 + t])
            while pp < pairs.shape[0] and pairs[pp, 2] <= L:
                i = pairs[pp, 0]
                j = pairs[pp, 1]
                k = pair_slot[pp]
                m = min(n, X - pairs[pp, 2] - t0 + 1)
                pp += 1
                if iv[i] > 0 and iv[j] > 0 and m > 0:
                    a = best[k]
                    shift = t0 + il[i]
                    for y in range(Y - slot_width[k] + 1):
                        c = corner[i, y, t0 : t0 + m]
                        d = corner[j, y, shift : shift + m]
                        for t in range(m):
                            a[y, t] = max(a[y, t], kind(c[t] + d[t]))
            top = Y if is_tail else height[L]
            offcuts = is_tail or strip_value[e] > 0
            h[:, : top + 1] = 0
            free = 0
            least = X
            if offcuts:
                for t in range(n):
                    need[t] = tail_clear[t0 + t] if is_tail else need_clear[e]
                    value[t] = tail_value[t0 + t] if is_tail else strip_value[e]
                    if value[t] > 0:
                        least = min(least, need[t])
            for y0 in range(1, top + 1, block):
                y1 = min(y0 + block, top + 1)
                for s in range(n_budgets):
                    for w in range(n_slots):
                        ww = slot_width[w]
                        s2 = less[s, slot_group[w]]
                        first = max(y0, ww)
                        if s2 >= 0 and first < y1:
                            r = h[s, first:y1].ravel()
                            q = h[s2, first - ww : y1 - ww].ravel()
                            b = best[w, first - ww : y1 - ww].ravel()
                            for t in range(r.shape[0]):
                                r[t] = max(r[t], kind(q[t] + b[t]))
                for y in range(y0, y1):
                    if offcuts:
                        free = free + 1 if longest[y - 1] >= least else 0
                        if free == 1:
                            run[:] = 0
                        if free:
                            cl = clear[y - 1, t0 : t0 + n]
                            for t in range(n):
                                run[t] = (run[t] + 1) * (1 if cl[t] >= need[t] else 0)
                        open_to[y] = free >= umin
                    for s in range(n_budgets):
                        r = h[s, y]
                        p = h[s, y - 1]
                        for t in range(T):
                            r[t] = max(r[t], p[t])
                        if offcuts and free >= umin:
                            o = rising[s, y]
                            start = h[s, y - umin]
                            if free == umin:
                                for t in range(n):
                                    v = (start[t] << fine) + value[t] * (umin + bonus)
                                    o[t] = v if run[t] >= umin and value[t] > 0 else nothing
                            else:
                                u = rising[s, y - 1]
                                for t in range(n):
                                    v = (start[t] << fine) + value[t] * (umin + bonus)
                                    v = max(u[t] + value[t], v if run[t] >= umin else nothing)
                                    o[t] = v if run[t] > 0 and value[t] > 0 else nothing
                        if offcuts and y > ky and open_to[y - ky]:
                            o = rising[s, y - ky]
                            for t in range(n):
                                r[t] = max(r[t], kind(o[t] >> fine))
            for s in range(n_budgets):
                if is_tail:
                    for t in range(n):
                        tail[s, t0 + t] = h[s, height[X - t0 - t], t]
                else:
                    m = min(n, X - L - t0 + 1)
                    S[s, e, t0 : t0 + m] = h[s, top, :m]
                    S[s, e, t0 + m : t0 + n] = never


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
