"""Labels that may come to a node: the cheapest of those that want the same, gathered before the least bounds are kept."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

from yieldopt.planning.kernels.hashtable import new_table, probe
from yieldopt.planning.kernels.pathproblem import Floats, Ints, Units


class Candidates(NamedTuple):
    """Labels that may come to a node: new ones, or (`old` not negative) labels that go on as they are."""

    bound: Floats
    cost: Floats
    key: npt.NDArray[np.uint64]
    here: Ints
    done: Ints
    old: Units
    parent: Units
    arc: Units
    table: Units
    stamps: Ints
    # How many there are; the table's present stamp.
    held: Ints
    stamp: Ints


@njit(cache=True, nogil=True)
def new_candidates(room):
    """Room for so many."""
    table, stamps = new_table(room)
    return Candidates(
        np.empty(room, np.float64),
        np.empty(room, np.float64),
        np.empty(room, np.uint64),
        np.empty(room, np.int64),
        np.empty(room, np.int64),
        np.empty(room, np.int32),
        np.empty(room, np.int32),
        np.empty(room, np.int32),
        table,
        stamps,
        np.zeros(1, np.int64),
        np.zeros(1, np.int64),
    )


@njit(cache=True, nogil=True)
def begin(c):
    """No candidates yet."""
    c.held[0] = 0
    c.stamp[0] += 1


@njit(cache=True, nogil=True)
def _put(c, k, bound, cost, key, here, done, old, parent, arc):
    c.bound[k] = bound
    c.cost[k] = cost
    c.key[k] = key
    c.here[k] = here
    c.done[k] = done
    c.old[k] = old
    c.parent[k] = parent
    c.arc[k] = arc


@njit(cache=True, nogil=True)
def least_of(c, width):
    """Candidates of the least bounds, `width` at most, in their order."""
    order = np.argsort(c.bound[: c.held[0]], kind="mergesort")
    # Marked and picked up, not sorted again: a second kind of sort takes seconds to compile when the tool is first run.
    least = np.zeros(order.shape[0], np.uint8)
    for k in order[:width]:
        least[k] = 1
    kept, n = order[:width], 0
    for k in range(least.shape[0]):
        if least[k]:
            kept[n] = k
            n += 1
    return kept


@njit(cache=True, nogil=True)
def _thin_out(c, width):
    """Leave the candidates of the least bounds."""
    kept = least_of(c, width)
    begin(c)
    c.held[0] = kept.shape[0]
    for n in range(kept.shape[0]):
        k = kept[n]
        _put(c, n, c.bound[k], c.cost[k], c.key[k], c.here[k], c.done[k], c.old[k], c.parent[k], c.arc[k])
        slot, _ = probe(c.table, c.stamps, c.stamp[0], c.key, c.key[n])
        c.table[slot] = n
        c.stamps[slot] = c.stamp[0]


@njit(cache=True, nogil=True)
def offer(c, width, bound, cost, key, here, done, old, parent, arc):
    """Take a candidate unless one that wants the same costs no more; True unless others were dropped for want of room."""
    whole = True
    slot, k = probe(c.table, c.stamps, c.stamp[0], c.key, key)
    if k >= 0 and c.cost[k] <= cost:
        return True
    if k < 0:
        if c.held[0] == c.bound.shape[0]:
            whole = False
            _thin_out(c, width)
            slot, _ = probe(c.table, c.stamps, c.stamp[0], c.key, key)
        k = c.held[0]
        c.held[0] += 1
        c.table[slot] = k
        c.stamps[slot] = c.stamp[0]
    _put(c, k, bound, cost, key, here, done, old, parent, arc)
    return whole
