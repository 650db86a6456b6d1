"""A stock as the compiled steps see it, in whole cells of the grid: where items may lie, which strips they make, what an
offcut needs and is worth. One kerf is added to every size and to the stock, so that neighbours may touch.

Copies of some rows can be counted. A *budget* is one combination of how many copies of the counted rows may still be
used; `less[s, g]` is the budget left of `s` after a strip of group `g` (-1: not enough). With nothing counted there is
one budget and one group.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

Ints = npt.NDArray[np.int32]


class Ground(NamedTuple):
    """The stock, and where each item that fits may have its corner; items are sorted by length."""

    # Cells of the stock along and across the board.
    length: int
    width: int
    # Of each item.
    item_length: Ints
    item_width: Ints
    # Lowest start and highest end across the board, by class of length and start; with `flat` the same at every start.
    flat: bool
    near: Ints
    far: Ints
    length_class: Ints
    # Start cells forbidden to item k: rows block_start[k] to block_start[k + 1] of (x from, x to, y from, y to), ends excluded.
    blocks: Ints
    block_start: Ints


class Strips(NamedTuple):
    """Kinds of strip: one item, or two end to end. A *slot* is a width and what the strip uses of the counted rows, its group;
    slots are sorted by width."""

    # Slot of each item; rows (item, item, total length), sorted by it, and the slot of each.
    item_slot: Ints
    pairs: Ints
    pair_slot: Ints
    # Of each slot.
    width: Ints
    group: Ints
    less: Ints


class Offcuts(NamedTuple):
    """What an offcut needs and is worth: a strip in section e needs `section_need[e]` clear cells and is worth
    `section_value[e]` / 2^fine a row of its width (0: none is kept), one from x to the far end `tail_need[x]` and
    `tail_value[x]`. The items' worths are in whole units, these in units of 1 / 2^fine."""

    # clear[y, x] counts cells from x on without an unsound defect.
    clear: Ints
    section_need: Ints
    section_value: Ints
    tail_need: Ints
    tail_value: Ints
    # Fewest rows, rows granted by rounding, the kerf in rows.
    fewest: int
    granted: int
    kerf: int
    fine: int


@njit(cache=True, nogil=True)
def may_lie(ground, i, x, y):
    """May item i have its corner at (x, y)?"""
    length, width = ground.item_length[i], ground.item_width[i]
    if x < 0 or y < 0 or x + length > ground.length or y + width > ground.width:
        return False
    c = ground.length_class[i]
    k = 0 if ground.flat else x
    if y < ground.near[c, k] or y + width > ground.far[c, k]:
        return False
    blocks = ground.blocks
    for b in range(ground.block_start[i], ground.block_start[i + 1]):
        if blocks[b, 0] <= x < blocks[b, 1] and blocks[b, 2] <= y < blocks[b, 3]:
            return False
    return True


@njit(cache=True, nogil=True)
def never_of(worths):
    """Worth of what can't be, in the type of `worths`: twice it, or it and the greatest worth, stay inside the type."""
    return -(1 << 14) if worths.itemsize == 2 else -(1 << 29)


@njit(cache=True, nogil=True)
def corner_values(ground, values, out):
    """out[i, y, x] = values[i] where item i may have its corner at (x, y), else never; of items not wanted nothing is
    written."""
    never = never_of(out)
    blocks = ground.blocks
    for i in range(values.shape[0]):
        if values[i] <= 0:
            continue
        out[i] = never
        c = ground.length_class[i]
        last = max(0, ground.length - ground.item_length[i] + 1)
        width = ground.item_width[i]
        if ground.flat:
            for y in range(max(ground.near[c, 0], 0), min(ground.far[c, 0], ground.width) - width + 1):
                out[i, y, :last] = values[i]
        else:
            for y in range(ground.width - width + 1):
                row = out[i, y]
                for x in range(last):
                    if ground.near[c, x] <= y and y + width <= ground.far[c, x]:
                        row[x] = values[i]
        for b in range(ground.block_start[i], ground.block_start[i + 1]):
            out[i, max(blocks[b, 2], 0) : max(blocks[b, 3], 0), max(blocks[b, 0], 0) : max(blocks[b, 1], 0)] = never
