"""The cheapest paths along several boards that together supply what is wanted: labels, kept while they may lead to less.

A board is a row of nodes, an *arc* a section from one node to a later one, or a whole layout; a path along the board is a
layout. A *label* is a choice so far: boards one after another, each left alone or followed from its first node to its last.
It knows what is still wanted of each row. Prices of the rows give every label a bound: what it has cost, what is still
wanted at these prices, and the least that the nodes and boards ahead can add to it (Lagrangian bound). Labels whose bound
reaches the known value are dropped; of labels at one node that want the same the cheapest is kept; at most `width` of the
least bounds go on from a node.

Rows of a group must come from one board whole: a label opens a group at a board or passes it by, and what other boards
give of it is worth nothing.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

from yieldopt.planning.kernels.pathcandidates import begin, least_of, new_candidates, offer
from yieldopt.planning.kernels.pathproblem import Floats, Ints, Units, bound_of, value_of

# Arc of a label that took none: it has just taken up a board, or left it.
NONE = -1
# Candidates gathered at a node before those of the least bounds are picked, as a multiple of the labels that go on.
GATHERED = 4


class _Labels(NamedTuple):
    cost: Floats
    # (label, row) -> units still wanted.
    left: Units
    # Sum of the rows' keys, each as often as a unit was supplied, and those of the groups' states.
    key: npt.NDArray[np.uint64]
    # Groups, a bit each, that the board gone along must give; that were given or begun before.
    here: Ints
    done: Ints
    parent: Units
    arc: Units


@njit(cache=True, nogil=True)
def _labels(size, rows):
    return _Labels(
        np.empty(size, np.float64),
        np.empty((size, rows), np.int32),
        np.empty(size, np.uint64),
        np.empty(size, np.int64),
        np.empty(size, np.int64),
        np.empty(size, np.int32),
        np.empty(size, np.int32),
    )


@njit(cache=True, nogil=True)
def _supply(p, arc, here, left):
    """Take what an arc gives off what is `left`; returns what that adds to the key."""
    key = np.uint64(0)
    for k in range(p.give_start[arc], p.give_start[arc + 1]):
        r = p.give_row[k]
        g = p.group[r]
        if g < 0 or here >> g & 1:
            units = min(p.give_units[k], left[r])
            left[r] -= units
            key += np.uint64(units) * p.keys[r]
    return key


@njit(cache=True, nogil=True)
def _copy(values, into):
    """One by one: an assignment of slices has an error text compiled with it, which takes seconds when the tool is first run."""
    for k in range(values.shape[0]):
        into[k] = values[k]


@njit(cache=True, nogil=True)
def _take_up(p, labels, entry, board, c, width, value):
    """Candidates at a board's first node: labels that take it up, with every set of groups that it may give."""
    n_rows, n_groups = p.need.shape[0], p.homes.shape[1]
    ahead = p.ahead[p.first_node[board]] + p.rest[board + 1]
    whole = True
    for q in entry:
        able = 0
        for g in range(n_groups):
            if p.homes[board, g] and not labels.done[q] >> g & 1:
                able |= 1 << g
        for here in range(1 << n_groups):
            if here & ~able:
                continue
            cost, key, done = labels.cost[q] + p.board_cost[board], labels.key[q], labels.done[q]
            for g in range(n_groups):
                if here >> g & 1:
                    key ^= p.keys[n_rows + g]
            bound = bound_of(p, cost, labels.left[q], here, done, board, ahead)
            if bound < value:
                whole &= offer(c, width, bound, cost, key, here, done, -1, q, NONE)
    return whole


@njit(cache=True, nogil=True)
def _come_along(p, labels, some, board, ahead, c, width, value):
    """Candidates that are labels as they are."""
    whole = True
    for q in some:
        cost, here, done = labels.cost[q], labels.here[q], labels.done[q]
        bound = bound_of(p, cost, labels.left[q], here, done, board, ahead)
        if bound < value:
            whole &= offer(c, width, bound, cost, labels.key[q], here, done, q, labels.parent[q], labels.arc[q])
    return whole


@njit(cache=True, nogil=True)
def _follow(p, labels, some, arc, board, ahead, c, width, value, left):
    """Candidates that go along an arc; `left` is room for what they still want."""
    whole = True
    for q in some:
        cost, here, done = labels.cost[q] - p.credit[arc], labels.here[q], labels.done[q]
        _copy(labels.left[q], left)
        key = labels.key[q] + _supply(p, arc, here, left)
        bound = bound_of(p, cost, left, here, done, board, ahead)
        if bound < value:
            whole &= offer(c, width, bound, cost, key, here, done, -1, q, arc)
    return whole


@njit(cache=True, nogil=True)
def _leave(p, labels, some, board, c, width, value):
    """Candidates that have come to a board's end: groups opened there are done with, whatever is still wanted of them."""
    n_rows, n_groups = p.need.shape[0], p.homes.shape[1]
    whole = True
    for q in some:
        cost, key, done = labels.cost[q], labels.key[q], labels.done[q] | labels.here[q]
        for g in range(n_groups):
            if labels.here[q] >> g & 1:
                key ^= p.keys[n_rows + g] ^ p.keys[n_rows + n_groups + g]
        bound = bound_of(p, cost, labels.left[q], 0, done, board, p.rest[board + 1])
        if bound < value:
            whole &= offer(c, width, bound, cost, key, 0, done, -1, q, NONE)
    return whole


@njit(cache=True, nogil=True)
def _grown(old, size, count):
    new = np.empty((size, *old.shape[1:]), old.dtype)
    _copy(old[:count].ravel(), new.ravel())
    return new


@njit(cache=True, nogil=True)
def _roomy(labels, count, more):
    """The labels with room for `more` than `count`."""
    if count + more <= labels.cost.shape[0]:
        return labels
    size = 2 * (count + more)
    return _Labels(
        _grown(labels.cost, size, count),
        _grown(labels.left, size, count),
        _grown(labels.key, size, count),
        _grown(labels.here, size, count),
        _grown(labels.done, size, count),
        _grown(labels.parent, size, count),
        _grown(labels.arc, size, count),
    )


@njit(cache=True, nogil=True)
def _keep(p, labels, count, c, kept, numbers):
    """Make labels of the candidates `kept`, their numbers into `numbers`; returns how many labels there are then."""
    for n in range(kept.shape[0]):
        k = kept[n]
        q = c.old[k]
        if q < 0:
            q = count
            count += 1
            labels.cost[q] = c.cost[k]
            labels.key[q] = c.key[k]
            labels.here[q] = c.here[k]
            labels.done[q] = c.done[k]
            labels.parent[q] = c.parent[k]
            labels.arc[q] = c.arc[k]
            _copy(labels.left[c.parent[k]], labels.left[q])
            if c.arc[k] != NONE:
                _supply(p, c.arc[k], c.here[k], labels.left[q])
        numbers[n] = q
    return count


@njit(cache=True, nogil=True)
def _way(labels, last):
    """The arcs that lead to a label, first to last."""
    length, q = 0, last
    while q >= 0:
        length += labels.arc[q] != NONE
        q = labels.parent[q]
    arcs = np.empty(length, np.int32)
    q = last
    while q >= 0:
        if labels.arc[q] != NONE:
            length -= 1
            arcs[length] = labels.arc[q]
        q = labels.parent[q]
    return arcs


@njit(cache=True, nogil=True)
def best_paths(p, value, width):
    """The arcs of the best choice of less than `value`, first to last, its value, and whether no label was dropped for want
    of room (then nothing is cheaper). Without such a choice the arcs are none and the value is `value`."""
    n_boards = p.board_cost.shape[0]
    labels = _labels(4096, p.need.shape[0])
    c = new_candidates(GATHERED * width)
    # Labels at each node of the board gone along, and at its entry.
    most = 0
    for b in range(n_boards):
        most = max(most, p.first_node[b + 1] - p.first_node[b])
    at = np.empty((most, width), np.int32)
    held = np.zeros(at.shape[0], np.int64)
    entry = np.zeros(width, np.int32)
    left = np.empty(p.need.shape[0], np.int32)
    labels.cost[0] = 0.0
    _copy(p.need, labels.left[0])
    labels.key[0] = np.uint64(0)
    labels.here[0] = labels.done[0] = 0
    labels.parent[0] = labels.arc[0] = NONE
    count, entries, whole = 1, 1, True
    for b in range(n_boards):
        nodes = p.first_node[b + 1] - p.first_node[b]
        arc = p.first_arc[b]
        # Past the last node the board is left, by those that never took it up too.
        for v in range(nodes + 1):
            begin(c)
            if v == nodes:
                whole &= _come_along(p, labels, entry[:entries], b, p.rest[b + 1], c, width, value)
                whole &= _leave(p, labels, at[v - 1, : held[v - 1]], b, c, width, value)
            elif v == 0:
                whole &= _take_up(p, labels, entry[:entries], b, c, width, value)
            else:
                ahead = p.ahead[p.first_node[b] + v] + p.rest[b + 1]
                whole &= _come_along(p, labels, at[v - 1, : held[v - 1]], b, ahead, c, width, value)
                while arc < p.first_arc[b + 1] and p.arc_to[arc] == v:
                    some = at[p.arc_from[arc], : held[p.arc_from[arc]]]
                    whole &= _follow(p, labels, some, arc, b, ahead, c, width, value, left)
                    arc += 1
            whole &= c.held[0] <= width
            kept = least_of(c, width)
            labels = _roomy(labels, count, kept.shape[0])
            if v == nodes:
                count = _keep(p, labels, count, c, kept, entry)
                entries = kept.shape[0]
            else:
                count = _keep(p, labels, count, c, kept, at[v])
                held[v] = kept.shape[0]
    best = -1
    for q in entry[:entries]:
        worth = value_of(p, labels.cost[q], labels.left[q])
        if worth < value:
            value, best = worth, q
    return _way(labels, best), value, whole
