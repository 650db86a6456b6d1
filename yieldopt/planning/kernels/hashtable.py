"""An open hash table of rows, emptied in no time: a slot counts as taken only where its stamp is the present one."""

from __future__ import annotations

import numpy as np
from numba import njit


@njit(cache=True, nogil=True)
def new_table(rows):
    """Row of each slot, and its stamp, for `rows` rows at most; stamps in use begin at 1."""
    size = 1
    while size < 2 * rows:
        size *= 2
    return np.empty(size, np.int32), np.zeros(size, np.int64)


@njit(cache=True, nogil=True)
def probe(table, stamps, stamp, hashes, key):
    """Slot of `key` in the table, and its row or -1; `hashes[row]` is the key of a row, of 64 bits."""
    mask = np.uint64(len(table) - 1)
    slot = (key ^ (key >> np.uint64(31))) & mask
    while True:
        if stamps[slot] != stamp:
            return slot, -1
        if hashes[table[slot]] == key:
            return slot, table[slot]
        slot = (slot + np.uint64(1)) & mask
