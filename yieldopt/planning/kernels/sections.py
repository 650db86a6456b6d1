"""Best stacks of strips for every section of a board, and the best chain of sections, for given item values.

Arrays run over section starts `x` innermost, so that the compiler can treat many starts at once; tiles of starts keep
them in the processor's cache, and worths of 16 bits twice as many as those of 32.

A *section* is what two crosscuts leave; its length is that of a strip (see `stock.py`). A stack puts strips side by side
across the board, each no longer than the section, and offcut strips.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

from yieldopt.planning.kernels.stock import never_of

TILE = 128
Worths = npt.NDArray[np.signedinteger]


class _Tile(NamedTuple):
    """What is kept of a tile of starts, from one length of section to the next; worths in the search's own type."""

    # best[w, y, t]: the strip of slot w with its near edge at row y.
    best: Worths
    # stack[s, y, t]: the stack up to row y within budget s; rising: the same with an offcut still growing at its top.
    stack: Worths
    rising: npt.NDArray[np.int32]
    # Clear rows next to each other up to now; what an offcut needs and is worth a row.
    run: npt.NDArray[np.int32]
    need: npt.NDArray[np.int32]
    value: npt.NDArray[np.int32]
    # Greatest clear length of each row; rows up to which an offcut may be open.
    longest: npt.NDArray[np.int32]
    open_to: npt.NDArray[np.bool_]


@njit(cache=True, nogil=True)
def _tile(n_slots, n_budgets, width, like):
    return _Tile(
        np.empty((n_slots, width, TILE), like.dtype),
        np.empty((n_budgets, width + 1, TILE), like.dtype),
        np.empty((n_budgets, width + 1, TILE), np.int32),
        np.empty(TILE, np.int32),
        np.zeros(TILE, np.int32),
        np.zeros(TILE, np.int32),
        np.empty(width, np.int32),
        np.zeros(width + 1, np.bool_),
    )


@njit(cache=True, nogil=True)
def _take_item(tile, ground, strips, corner, i, t0, n):
    """The strip that is item i alone."""
    m = min(n, ground.length - ground.item_length[i] - t0 + 1)
    if m > 0:
        a = tile.best[strips.item_slot[i]]
        for y in range(ground.width):
            for t in range(m):
                a[y, t] = max(a[y, t], corner[i, y, t0 + t])


@njit(cache=True, nogil=True)
def _take_pair(tile, ground, strips, corner, p, t0, n):
    """The strip that is pair p end to end."""
    kind = corner.dtype.type
    i, j, k = strips.pairs[p, 0], strips.pairs[p, 1], strips.pair_slot[p]
    m = min(n, ground.length - strips.pairs[p, 2] - t0 + 1)
    if m > 0:
        a = tile.best[k]
        shift = t0 + ground.item_length[i]
        for y in range(ground.width - strips.width[k] + 1):
            c = corner[i, y, t0 : t0 + m]
            d = corner[j, y, shift : shift + m]
            for t in range(m):
                a[y, t] = max(a[y, t], kind(c[t] + d[t]))


@njit(cache=True, nogil=True)
def _want_offcuts(tile, offcuts, e, t0, n, least):
    """What an offcut needs and is worth from each start, in section e or (e beyond the last) up to the far end; returns the
    least that any needs, `least` where none is worth anything."""
    is_tail = e == offcuts.section_value.shape[0]
    for t in range(n):
        tile.need[t] = offcuts.tail_need[t0 + t] if is_tail else offcuts.section_need[e]
        tile.value[t] = offcuts.tail_value[t0 + t] if is_tail else offcuts.section_value[e]
        if tile.value[t] > 0:
            least = min(least, tile.need[t])
    return least


@njit(cache=True, nogil=True)
def _put_strips(tile, strips, y0, y1):
    """Stacks that end with a strip at rows y0 to y1: no strip reaches from within such a block of rows."""
    kind = tile.stack.dtype.type
    for s in range(tile.stack.shape[0]):
        for w in range(strips.width.shape[0]):
            ww = strips.width[w]
            s2 = strips.less[s, strips.group[w]]
            first = max(y0, ww)
            if s2 >= 0 and first < y1:
                r = tile.stack[s, first:y1].ravel()
                q = tile.stack[s2, first - ww : y1 - ww].ravel()
                b = tile.best[w, first - ww : y1 - ww].ravel()
                for t in range(r.shape[0]):
                    r[t] = max(r[t], kind(q[t] + b[t]))


@njit(cache=True, nogil=True)
def _count_clear(tile, clear, free, n):
    """One more row that may be clear somewhere, the `free`th in turn."""
    if free == 1:
        tile.run[:] = 0
    if free:
        for t in range(n):
            tile.run[t] = (tile.run[t] + 1) * (1 if clear[t] >= tile.need[t] else 0)


@njit(cache=True, nogil=True)
def _grow_offcuts(tile, offcuts, s, y, free, n):
    """Offcuts that end at row y, still without their kerf: the recurrence of `offcuts.grow_offcut` for all starts at once."""
    nothing = never_of(tile.stack) << offcuts.fine
    fewest, run, value = offcuts.fewest, tile.run, tile.value
    first = fewest + offcuts.granted
    o = tile.rising[s, y]
    start = tile.stack[s, y - fewest]
    if free == fewest:
        for t in range(n):
            v = (start[t] << offcuts.fine) + value[t] * first
            o[t] = v if run[t] >= fewest and value[t] > 0 else nothing
    else:
        u = tile.rising[s, y - 1]
        for t in range(n):
            v = (start[t] << offcuts.fine) + value[t] * first
            v = max(u[t] + value[t], v if run[t] >= fewest else nothing)
            o[t] = v if run[t] > 0 and value[t] > 0 else nothing


@njit(cache=True, nogil=True)
def _stack_up(tile, strips, offcuts, clear, keeps, top, t0, n, least):
    """Best stacks up to each row; `keeps`: offcuts may be kept, and none needs fewer than `least` cells."""
    kind = tile.stack.dtype.type
    n_budgets = tile.stack.shape[0]
    kerf, fewest = offcuts.kerf, offcuts.fewest
    tile.stack[:, : top + 1] = 0
    free = 0
    # Rows that no strip reaches from within the same block of rows, so that a block can be filled strip by strip.
    block = max(1, strips.width[0]) if strips.width.shape[0] else tile.longest.shape[0]
    for y0 in range(1, top + 1, block):
        y1 = min(y0 + block, top + 1)
        _put_strips(tile, strips, y0, y1)
        for y in range(y0, y1):
            if keeps:
                free = free + 1 if tile.longest[y - 1] >= least else 0
                _count_clear(tile, clear[y - 1, t0 : t0 + n], free, n)
                tile.open_to[y] = free >= fewest
            for s in range(n_budgets):
                r = tile.stack[s, y]
                p = tile.stack[s, y - 1]
                for t in range(TILE):
                    r[t] = max(r[t], p[t])
                if keeps and free >= fewest:
                    _grow_offcuts(tile, offcuts, s, y, free, n)
                if keeps and y > kerf and tile.open_to[y - kerf]:
                    o = tile.rising[s, y - kerf]
                    for t in range(n):
                        r[t] = max(r[t], kind(o[t] >> offcuts.fine))


@njit(cache=True, nogil=True)
def stack_values(ground, values, strips, corner, lengths, height, offcuts, sections, tail):
    """Value of the best stack within every budget s, for every section length `lengths[e]` and start x, into
    sections[s, e, x]; of the section from x to the far end, into tail[s, x]. Both are of the type in which `corner` holds
    worths. `height[L]` are the rows that a section of L cells has."""
    n_budgets = strips.less.shape[0]
    never = never_of(sections)
    tile = _tile(strips.width.shape[0], n_budgets, ground.width, sections)
    n_len = lengths.shape[0]
    for t0 in range(0, ground.length, TILE):
        n = min(TILE, ground.length - t0)
        tile.best[:] = never
        for y in range(ground.width):
            tile.longest[y] = offcuts.clear[y, t0 : t0 + n].max()
        i = p = 0
        for e in range(n_len + 1):
            is_tail = e == n_len
            L = ground.length if is_tail else lengths[e]
            if not is_tail and ground.length - t0 < L:
                sections[:, e, t0 : t0 + n] = never
                continue
            while i < values.shape[0] and ground.item_length[i] <= L:
                if values[i] > 0:
                    _take_item(tile, ground, strips, corner, i, t0, n)
                i += 1
            while p < strips.pairs.shape[0] and strips.pairs[p, 2] <= L:
                if values[strips.pairs[p, 0]] > 0 and values[strips.pairs[p, 1]] > 0:
                    _take_pair(tile, ground, strips, corner, p, t0, n)
                p += 1
            keeps = is_tail or offcuts.section_value[e] > 0
            least = _want_offcuts(tile, offcuts, e, t0, n, ground.length) if keeps else ground.length
            top = ground.width if is_tail else height[L]
            _stack_up(tile, strips, offcuts, offcuts.clear, keeps, top, t0, n, least)
            for s in range(n_budgets):
                if is_tail:
                    for t in range(n):
                        tail[s, t0 + t] = tile.stack[s, height[ground.length - t0 - t], t]
                else:
                    m = min(n, ground.length - L - t0 + 1)
                    sections[s, e, t0 : t0 + m] = tile.stack[s, top, :m]
                    sections[s, e, t0 + m : t0 + n] = never


class Chain(NamedTuple):
    """The best chain of sections from x to the far end within budget s."""

    worth: npt.NDArray[np.int32]
    # The section's index, the number of lengths for the section up to the end, -1 for a cell left empty.
    section: npt.NDArray[np.int32]
    # The budget that section uses.
    budget: npt.NDArray[np.int32]


@njit(cache=True, nogil=True)
def chain_up(lengths, splits, sections, tail, chain):
    """Fill the chain. Rows of `splits` are (budget, part for the section, part for the rest)."""
    n_len = lengths.shape[0]
    n_budgets, end = chain.worth.shape[0], chain.worth.shape[1] - 1
    for s in range(n_budgets):
        chain.worth[s, end] = 0
    for x in range(end - 1, -1, -1):
        for s in range(n_budgets):
            chain.worth[s, x] = chain.worth[s, x + 1]
            chain.section[s, x] = -1
            chain.budget[s, x] = 0
            if tail[s, x] > chain.worth[s, x]:
                chain.worth[s, x] = tail[s, x]
                chain.section[s, x] = n_len
                chain.budget[s, x] = s
        for k in range(splits.shape[0]):
            s, s1, s2 = splits[k, 0], splits[k, 1], splits[k, 2]
            f, c, b = chain.worth[s, x], chain.section[s, x], chain.budget[s, x]
            for e in range(n_len):
                if x + lengths[e] > end:
                    break
                v = sections[s1, e, x] + chain.worth[s2, x + lengths[e]]
                # A tie goes to cutting here rather than to empty cells: what is left stays in one piece at the far end.
                if v > f or (v == f and c < 0):
                    f = v
                    c = e
                    b = s1
            chain.worth[s, x] = f
            chain.section[s, x] = c
            chain.budget[s, x] = b
