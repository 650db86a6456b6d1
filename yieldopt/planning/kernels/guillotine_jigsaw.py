"""Blocks joined without waste: two of them that share a side become one.

A block is (length, width); one that may be turned is kept with its length the longer side. `side` of a join is 0
(lengths add up, widths are equal) or 1 (widths add up, lengths are equal), before the join is turned to be kept.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray


@njit("Tuple((i8, i8, i8, b1))(i8, i8, i8, i8, i8, b1, i8, i8)", cache=True, nogil=True, inline="always")
def _joined(
    l1: int, w1: int, l2: int, w2: int, side: int, turns: bool, length: int, width: int
) -> tuple[int, int, int, bool]:
    """Length and width of the join as it is kept, 1 if it is kept turned, and whether it fits the sheet."""
    across = side == 1
    nl = l1 if across else l1 + l2
    nw = w1 + w2 if across else w1
    fits = (nl <= length and nw <= width) or (turns and nw <= length and nl <= width)
    if turns and nl < nw:
        return nw, nl, 1, fits
    return nl, nw, 0, fits


@njit("i8(i8, i8, i8[::1], i8[::1], b1[::1], i8, i8, f8, f8, i8, i8[:,::1])", cache=True, nogil=True)
def glued(
    pieces: int,
    least: int,
    lengths: NDArray[np.int64],
    widths: NDArray[np.int64],
    turns: NDArray[np.bool_],
    length: int,
    width: int,
    small_first: float,
    chance: float,
    seed: int,
    joins: NDArray[np.int64],
) -> int:
    """Joins blocks until `least` are left or none share a side; returns the number of joins.

    `lengths`, `widths`, `turns` hold the `pieces` and have room for a join behind each; row k of `joins` becomes (block,
    turned?, block, turned?, side, kept turned?) of block `pieces + k`. Joins with sides that others share come first, and small
    ones by so much a mean piece's area, give or take `chance`.
    """
    np.random.seed(seed)
    live = np.arange(pieces)
    many, made = pieces, 0
    alike = np.zeros(max(length, width) + 1, np.int64)
    for k in range(pieces):
        alike[lengths[k]] += 1
        alike[widths[k]] += 1
    each = small_first * pieces / (length * width)
    pick = np.empty(8, np.int64)
    while many > least:
        best = -np.inf
        for a in range(many):
            i = live[a]
            for b in range(a + 1, many):
                j = live[b]
                for way in range(4):
                    ti, tj = way & 1, way >> 1
                    if (ti and not turns[i]) or (tj and not turns[j]):
                        continue
                    l1, w1 = (widths[i], lengths[i]) if ti else (lengths[i], widths[i])
                    l2, w2 = (widths[j], lengths[j]) if tj else (lengths[j], widths[j])
                    for side in range(2):
                        if (w1 if side == 0 else l1) != (w2 if side == 0 else l2):
                            continue
                        nl, nw, kept, fits = _joined(l1, w1, l2, w2, side, turns[i] and turns[j], length, width)
                        if not fits:
                            continue
                        score = alike[nl] + alike[nw] - each * nl * nw + chance * np.random.random()
                        if score > best:
                            best = score
                            pick[:] = np.array([a, ti, b, tj, side, kept, nl, nw])
        if best == -np.inf:
            break
        a, b = pick[0], pick[2]
        new = pieces + made
        joins[made, 0], joins[made, 1], joins[made, 2], joins[made, 3] = live[a], pick[1], live[b], pick[3]
        joins[made, 4], joins[made, 5] = pick[4], pick[5]
        made += 1
        for k in (live[a], live[b]):
            alike[lengths[k]] -= 1
            alike[widths[k]] -= 1
        lengths[new], widths[new], turns[new] = pick[6], pick[7], turns[live[a]] and turns[live[b]]
        alike[lengths[new]] += 1
        alike[widths[new]] += 1
        live[a] = new
        live[b] = live[many - 1]
        many -= 1
    return made


@njit("i8(i8, i8[::1], i8[::1], b1[::1], i8, i8, u8[::1], i8[:,::1])", cache=True, nogil=True)
def all_joins(
    pieces: int,
    lengths: NDArray[np.int64],
    widths: NDArray[np.int64],
    turns: NDArray[np.bool_],
    length: int,
    width: int,
    used: NDArray[np.uint64],
    joins: NDArray[np.int64],
) -> int:
    """Every block that joins of `pieces` (at most 64) make, each by one way of making it, as far as there is room; stops
    at one as large as the sheet. Returns their number.

    `lengths`, `widths`, `turns` hold the pieces and take the blocks behind them, `used` the pieces of each as bits; row k of
    `joins` as in `glued`, for block `pieces + k`.
    """
    room = len(lengths)
    slots = 1
    while slots < 2 * room:
        slots *= 2
    table = np.full(slots, -1, np.int32)
    # Entries (block, turned?) chained by length and by width.
    by_length = np.full(max(length, width) + 1, -1, np.int32)
    by_width = np.full(max(length, width) + 1, -1, np.int32)
    next_length = np.empty(2 * room, np.int32)
    next_width = np.empty(2 * room, np.int32)
    for k in range(pieces):
        used[k] = np.uint64(1) << np.uint64(k)
    many, x = pieces, 0
    while x < many:
        for tx in range(2 if turns[x] and lengths[x] != widths[x] else 1):
            l1, w1 = (widths[x], lengths[x]) if tx else (lengths[x], widths[x])
            for side in range(2):
                e = by_width[w1] if side == 0 else by_length[l1]
                while e >= 0:
                    y, ty = e >> 1, e & 1
                    e = next_width[e] if side == 0 else next_length[e]
                    # Of two blocks that turn, one way of laying them is the other turned.
                    if used[x] & used[y] or (side == 0 and turns[x] and turns[y]):
                        continue
                    l2, w2 = (widths[y], lengths[y]) if ty else (lengths[y], widths[y])
                    nl, nw, kept, fits = _joined(l1, w1, l2, w2, side, turns[x] and turns[y], length, width)
                    if not fits:
                        continue
                    both = used[x] | used[y]
                    at = (both ^ (both >> np.uint64(29))) * np.uint64(0x9E3779B97F4A7C15) + np.uint64(nl * 0x85EBCA6B + nw)
                    slot = np.int64((at ^ (at >> np.uint64(32))) & np.uint64(slots - 1))
                    known = False
                    while table[slot] >= 0:
                        k = table[slot]
                        if used[k] == both and lengths[k] == nl and widths[k] == nw:
                            known = True
                            break
                        slot = (slot + 1) & (slots - 1)
                    if known:
                        continue
                    table[slot] = many
                    used[many], lengths[many], widths[many] = both, nl, nw
                    turns[many] = turns[x] and turns[y]
                    row = joins[many - pieces]
                    row[0], row[1], row[2], row[3], row[4], row[5] = x, tx, y, ty, side, kept
                    many += 1
                    if many == room or nl * nw == length * width:
                        return many
        for t in range(2 if turns[x] and lengths[x] != widths[x] else 1):
            l1, w1 = (widths[x], lengths[x]) if t else (lengths[x], widths[x])
            e = 2 * x + t
            next_length[e], by_length[l1] = by_length[l1], e
            next_width[e], by_width[w1] = by_width[w1], e
        x += 1
    return many
