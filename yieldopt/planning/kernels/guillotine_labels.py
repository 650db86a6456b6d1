"""Layouts under limits on copies: for every pair of extents a short list of layouts ("labels") that differ in what they use.

A label in extents (i, j) is an item or two labels side by side. It is dropped when even the most that can be won outside
it (two bounds: one under prices on scarce items, one without) leaves the whole below `target`, when it uses more copies
than there are, or when a label of the same use is there already. Without a limit on the length of the lists this is
exact; with one it is a beam search. Bottom-up building with an outer bound: Wang, Oper. Res. 31 (1983) 573-586; Hifi,
Comput. Oper. Res. 24 (1997) 727-736; prices on scarce items: Christofides & Hadjiconstantinou, EJOR 83 (1995) 21-38.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from yieldopt.planning.kernels.hashtable import new_table, probe


@njit(cache=True, nogil=True)
def build(
    width, target, step, lean, noise, seed, prices_total, stop,
    ax, bx, sx, ay, by, sy, inner, outer, outer_plain, item_i, item_j, item_value, item_priced, item_use, item_hash, limit,
    value, priced, hashes, use, origin, cell_start, cell_count,
):  # fmt: skip
    """Fill the label pool; returns (labels, best label or -1, whether any was dropped for want of room, raised target).

    `inner` and `outer` are tables of best priced values inside and outside, `outer_plain` of values without prices.
    Counts are packed: `use` has one row of words per label, each field with a spare top bit; adding `limit` (spare bit
    less one less the most copies) sets the spare bit where a limit is broken. `width` labels are kept per pair of extents,
    by priced value (leaning to the full value by `lean`, 0 to 1) plus up to `noise` at random. origin: kind (1 item,
    2 across x, 3 across y), two labels.
    Once a layout is found the target rises to its value plus `step`. Another thread may set `stop` to end the work.
    """
    nx, ny = inner.shape
    words = use.shape[1]
    most = len(value)
    room = max(2 * width, 64)
    table, stamps = new_table(room)
    stamp = 0
    c_value = np.empty(room)
    c_priced = np.empty(room)
    c_key = np.empty(room)
    c_hash = np.empty(room, np.uint64)
    c_from = np.empty((room, 3), np.int32)
    top_priced = np.full((nx, ny), -np.inf)
    spare = np.uint64(0)
    n = 0
    best = -1
    cut_off = False
    guard = limit[1]
    cap = limit[0]
    for i in range(1, nx):
        for j in range(1, ny):
            need = target - prices_total - outer[i, j]
            need_plain = target - outer_plain[i, j]
            cell_start[i, j] = n
            cell_count[i, j] = 0
            if stop[0]:
                return n, best, True, target
            if inner[i, j] < need:
                continue
            m = 0
            stamp += 1
            least = -np.inf
            for t in range(len(item_i)):
                if item_i[t] > i or item_j[t] > j or item_priced[t] < need or item_value[t] < need_plain:
                    continue
                slot, o = probe(table, stamps, stamp, c_hash, item_hash[t])
                if o >= 0:
                    if item_value[t] > c_value[o]:
                        c_value[o], c_priced[o], c_key[o] = item_value[t], item_priced[t], item_value[t]
                        c_from[o, 0], c_from[o, 1], c_from[o, 2] = 1, t, 0
                    continue
                if m == room:
                    cut_off = True
                    break
                stamps[slot] = stamp
                table[slot] = m
                c_hash[m] = item_hash[t]
                c_value[m], c_priced[m], c_key[m] = item_value[t], item_priced[t], item_value[t]
                c_from[m, 0], c_from[m, 1], c_from[m, 2] = 1, t, 0
                m += 1
            for axis in range(2):
                begin, end = (sx[i], sx[i + 1]) if axis == 0 else (sy[j], sy[j + 1])
                for p in range(begin, end):
                    if axis == 0:
                        ai, aj, bi, bj = ax[p], j, bx[p], j
                    else:
                        ai, aj, bi, bj = i, ay[p], i, by[p]
                    top_b = top_priced[bi, bj]
                    if top_priced[ai, aj] + top_b < need:
                        continue
                    for a in range(cell_start[ai, aj], cell_start[ai, aj] + cell_count[ai, aj]):
                        if priced[a] + top_b < need:
                            break
                        for b in range(cell_start[bi, bj], cell_start[bi, bj] + cell_count[bi, bj]):
                            sum_priced = priced[a] + priced[b]
                            if sum_priced < need:
                                break
                            sum_value = value[a] + value[b]
                            if sum_value < need_plain:
                                continue
                            key = hashes[a] + hashes[b]
                            if lean == 0.0 and sum_priced + noise <= least:
                                cut_off = True
                                break
                            rank = sum_priced + lean * (sum_value - sum_priced)
                            if noise > 0.0:
                                r = key * np.uint64(0x9E3779B97F4A7C15) + seed
                                r ^= r >> np.uint64(32)
                                r *= np.uint64(0xD6E8FEB86659FD93)
                                rank += noise * (np.float64(r >> np.uint64(11)) * 2.0**-53)
                            if rank <= least:
                                cut_off = True
                                continue
                            broken = False
                            for q in range(words):
                                spare = (use[a, q] + use[b, q] + cap[q]) & guard[q]
                                if spare != 0:
                                    broken = True
                                    break
                            if broken:
                                continue
                            slot, o = probe(table, stamps, stamp, c_hash, key)
                            if o >= 0:
                                if sum_value > c_value[o]:
                                    c_value[o], c_priced[o], c_key[o] = sum_value, sum_priced, rank
                                    c_from[o, 0], c_from[o, 1], c_from[o, 2] = 2 + axis, a, b
                                continue
                            if m == room:
                                # Full: keep the best `width` and start again from those.
                                cut_off = True
                                order = np.argsort(-c_key[:m], kind="mergesort")[:width]
                                c_value[:width] = c_value[order]
                                c_priced[:width] = c_priced[order]
                                c_hash[:width] = c_hash[order]
                                c_from[:width] = c_from[order]
                                c_key[:width] = c_key[order]
                                m = width
                                least = c_key[m - 1]
                                stamp += 1
                                for o in range(m):
                                    slot, _ = probe(table, stamps, stamp, c_hash, c_hash[o])
                                    stamps[slot] = stamp
                                    table[slot] = o
                                if rank <= least:
                                    continue
                                slot, _ = probe(table, stamps, stamp, c_hash, key)
                            stamps[slot] = stamp
                            table[slot] = m
                            c_hash[m] = key
                            c_value[m], c_priced[m], c_key[m] = sum_value, sum_priced, rank
                            c_from[m, 0], c_from[m, 1], c_from[m, 2] = 2 + axis, a, b
                            m += 1
            if m > width:
                cut_off = True
                order = np.argsort(-c_key[:m], kind="mergesort")[:width]
                order = order[np.argsort(-c_priced[order], kind="mergesort")]
            else:
                order = np.argsort(-c_priced[:m], kind="mergesort")
            for o in order:
                if n == most:
                    cut_off = True
                    break
                value[n], priced[n], hashes[n] = c_value[o], c_priced[o], c_hash[o]
                origin[n] = c_from[o]
                if c_from[o, 0] == 1:
                    use[n] = item_use[c_from[o, 1]]
                else:
                    for q in range(words):
                        use[n, q] = use[c_from[o, 1], q] + use[c_from[o, 2], q]
                if best < 0 or value[n] > value[best]:
                    best = n
                    if value[n] + step > target:
                        target = value[n] + step
                        need = target - prices_total - outer[i, j]
                        need_plain = target - outer_plain[i, j]
                n += 1
            cell_count[i, j] = n - cell_start[i, j]
            if cell_count[i, j] > 0:
                top_priced[i, j] = priced[cell_start[i, j]]
    return n, best, cut_off, target
