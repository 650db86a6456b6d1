"""What the paths along several boards are chosen from, and the least value that a choice so far may lead to.

A board is a row of nodes, an *arc* a section from one node to a later one, or a whole layout. Prices of the rows give every
label a bound: what it has cost, what is still wanted at these prices, and the least that the nodes and boards ahead can add
to it (Lagrangian bound).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Units = npt.NDArray[np.int32]


class Problem(NamedTuple):
    """Boards, nodes and arcs: those of board b are `first_node[b]` to `first_node[b + 1]` and so on, arcs sorted by the node
    they reach."""

    first_node: Ints
    first_arc: Ints
    board_cost: Floats
    # Nodes of the arc's board, counted from its first.
    arc_from: Ints
    arc_to: Ints
    # Money that the arc earns; it gives `give_units[k]` of `give_row[k]` for k from `give_start[arc]` on.
    credit: Floats
    give_start: Ints
    give_row: Ints
    give_units: Units
    # Units wanted a row; its group or -1; (board, group): whether the board can give the group.
    need: Units
    group: Ints
    homes: npt.NDArray[np.bool_]
    # A random key a row, then two a group: open here, done with.
    keys: npt.NDArray[np.uint64]
    # Price of a unit of rows without a group; (board, row): of those with one.
    pi: Floats
    local: Floats
    # What going short of a row costs: a unit, and in all.
    penalty: Floats
    flat: Floats
    # The least that the rest of a board, from a node on, and that boards from b on add at the prices; (b, group): the same of
    # a group not opened before b.
    ahead: Floats
    rest: Floats
    group_ahead: Floats


@njit(cache=True, nogil=True)
def look_ahead(p):
    """Fill in the least that what is ahead of a label adds to its value, at the prices."""
    n_boards, n_groups = p.homes.shape
    for g in range(n_groups):
        # Nowhere at all.
        for r in range(p.need.shape[0]):
            if p.group[r] == g:
                p.group_ahead[n_boards, g] += p.penalty[r] * p.need[r]
    for b in range(n_boards - 1, -1, -1):
        first = p.first_node[b]
        arc = p.first_arc[b + 1] - 1
        ahead = p.ahead[first : p.first_node[b + 1]]
        # Arcs are sorted by the node they reach, so that what is ahead of that is known.
        for v in range(ahead.shape[0] - 1, 0, -1):
            while arc >= p.first_arc[b] and p.arc_to[arc] == v:
                total = ahead[v] - p.credit[arc]
                for k in range(p.give_start[arc], p.give_start[arc + 1]):
                    r = p.give_row[k]
                    total -= p.give_units[k] * (p.pi[r] if p.group[r] < 0 else p.local[b, r])
                ahead[p.arc_from[arc]] = min(ahead[p.arc_from[arc]], total)
                arc -= 1
            ahead[v - 1] = min(ahead[v - 1], ahead[v])
        p.rest[b] = p.rest[b + 1] + min(0.0, p.board_cost[b] + ahead[0])
        for g in range(n_groups):
            here = 0.0
            for r in range(p.need.shape[0]):
                if p.group[r] == g:
                    here += p.local[b, r] * p.need[r]
            p.group_ahead[b, g] = min(p.group_ahead[b + 1, g], here) if p.homes[b, g] else p.group_ahead[b + 1, g]


@njit(cache=True, nogil=True)
def bound_of(p, cost, left, here, done, board, ahead):
    """Least value of a label at a board with `left` still wanted; `ahead` is the least that the way ahead adds at the prices."""
    total = cost + ahead
    for r in range(left.shape[0]):
        g = p.group[r]
        if g < 0:
            total += p.pi[r] * left[r]
        elif here >> g & 1:
            total += p.local[board, r] * left[r]
        elif done >> g & 1:
            total += p.penalty[r] * left[r]
    for g in range(p.group_ahead.shape[1]):
        if not (here | done) >> g & 1:
            total += p.group_ahead[board + 1, g]
    return total


@njit(cache=True, nogil=True)
def value_of(p, cost, left):
    """What a choice costs that leaves `left` of each row unmet."""
    total = cost
    for r in range(left.shape[0]):
        if left[r] > 0:
            total += p.penalty[r] * left[r] + p.flat[r]
    return total
