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

import numpy as np
from numba import njit

# Arc of a label that takes up a board, before it goes along it.
TAKEN = -1
# Candidates gathered at a node before those of the least bounds are picked, as a multiple of the labels that go on.
GATHERED = 4


@njit(cache=True, nogil=True)
def _bound(cost, rem, here, done, board, ahead, group, pi, local, penalty, group_ahead):
    """Least value of a label with `rem` still wanted, `ahead` the least that the way ahead adds at the prices."""
    total = cost + ahead
    for r in range(rem.shape[0]):
        g = group[r]
        if g < 0:
            total += pi[r] * rem[r]
        elif here >> g & 1:
            total += local[board, r] * rem[r]
        elif done >> g & 1:
            total += penalty[r] * rem[r]
    for g in range(group_ahead.shape[0]):
        if not (here | done) >> g & 1:
            total += group_ahead[g]
    return total


@njit(cache=True, nogil=True)
def _value(cost, rem, penalty, flat):
    total = cost
    for r in range(rem.shape[0]):
        if rem[r] > 0:
            total += penalty[r] * rem[r] + flat[r]
    return total


@njit(cache=True, nogil=True)
def _slot(table, stamp, now, key, keys):
    """Place of `key` in an open hash table: where it is, or the free place where it may go."""
    size = table.shape[0]
    at = np.int64(key & np.uint64(size - 1))
    while stamp[at] == now and keys[table[at]] != key:
        at = (at + 1) & (size - 1)
    return at


@njit(cache=True, nogil=True)
def _least(bounds, count, width):
    """Indices of the `width` least of the first `count` bounds, in their order."""
    chosen = np.argsort(bounds[:count], kind="mergesort")[:width]
    return np.sort(chosen)


@njit(cache=True, nogil=True)
def best_paths(
    first_node,
    first_arc,
    board_cost,
    arc_from,
    arc_to,
    credit,
    give_start,
    give_row,
    give_units,
    need,
    group,
    homes,
    keys,
    pi,
    local,
    penalty,
    flat,
    ahead,
    rest,
    group_ahead,
    value,
    width,
):
    """The arcs of the best choice of less than `value`, first to last, its value, and whether no label was dropped for
    want of room (then nothing is cheaper). Without such a choice the arcs are none and the value is `value`.

    Nodes and arcs of board b are `first_node[b]` to `first_node[b + 1]` and so on, arcs sorted by the node they reach.
    Arc a gives `give_units[k]` of `give_row[k]` for k from `give_start[a]` on and earns `credit[a]`. `need`: units wanted
    a row; `group`: a row's group or -1; `homes[b, g]`: whether b can give group g; `keys`: a random key a row; `pi` and
    `local[b]`: price of a unit of rows without and with a group; `penalty` a unit and `flat` in all: what going short of a
    row costs; `ahead[node]` and `rest[b]`: the least that the rest of the board, and boards from b on, add at the prices;
    `group_ahead[b, g]`: the same of group g, not opened before b.
    """
    n_boards = first_node.shape[0] - 1
    n_rows = need.shape[0]
    n_groups = group_ahead.shape[1]
    most = 1
    for b in range(n_boards):
        most = max(most, first_node[b + 1] - first_node[b])
    room = GATHERED * width
    # Labels; their arrays grow as they fill.
    size = 4096
    cost = np.empty(size, np.float64)
    rem = np.empty((size, n_rows), np.int32)
    key = np.empty(size, np.uint64)
    here = np.zeros(size, np.int64)
    done = np.zeros(size, np.int64)
    parent = np.empty(size, np.int32)
    arc = np.empty(size, np.int32)
    # Candidates for one node. A candidate is a label that goes on as it is (its number in `c_old`), or a new one (-1).
    c_bound = np.empty(room + 1, np.float64)
    c_cost = np.empty(room + 1, np.float64)
    c_key = np.empty(room + 1, np.uint64)
    c_old = np.empty(room + 1, np.int32)
    c_parent = np.empty(room + 1, np.int32)
    c_arc = np.empty(room + 1, np.int32)
    c_here = np.empty(room + 1, np.int64)
    slots = 1
    while slots < 4 * room:
        slots *= 2
    table = np.empty(slots, np.int32)
    stamp = np.zeros(slots, np.int64)
    now = 0
    lists = np.empty((most, width), np.int32)
    held = np.zeros(most, np.int64)
    entry = np.empty(width, np.int32)
    out = np.empty(width, np.int32)
    left = np.empty(n_rows, np.int32)
    whole = True

    cost[0] = 0.0
    rem[0] = need
    key[0] = 0
    parent[0] = -1
    arc[0] = TAKEN
    count = 1
    entry[0] = 0
    entries = 1
    for b in range(n_boards):
        nodes = first_node[b + 1] - first_node[b]
        a = first_arc[b]
        # The node after the last is where the board is left, whether it was cut or not.
        for v in range(nodes + 1):
            now += 1
            n = 0
            # Sources: 0 labels that come along unchanged, then arcs.
            source = 0
            while True:
                if source == 0:
                    many = entries if v == 0 or v == nodes else held[v - 1]
                elif source == 1 and v == nodes:
                    many = held[nodes - 1]
                elif v > 0 and v < nodes and a < first_arc[b + 1] and arc_to[a] == v:
                    many = held[arc_from[a]]
                else:
                    break
                for q in range(many):
                    if source == 0:
                        p = entry[q] if v == 0 or v == nodes else lists[v - 1, q]
                    elif v == nodes:
                        p = lists[nodes - 1, q]
                    else:
                        p = lists[arc_from[a], q]
                    variants = 1
                    closed = 0
                    if v == 0:
                        for g in range(n_groups):
                            if homes[b, g] and not done[p] >> g & 1:
                                closed |= 1 << g
                        variants = 1 << n_groups
                    for mask in range(variants):
                        if mask & ~closed:
                            continue
                        new_cost = cost[p]
                        new_key = key[p]
                        new_here = here[p]
                        new_done = done[p]
                        old = p
                        by = TAKEN
                        if v == 0:
                            new_cost += board_cost[b]
                            new_here = mask
                            old = -1
                            for g in range(n_groups):
                                if mask >> g & 1:
                                    new_key ^= keys[n_rows + g]
                            left[:] = rem[p]
                        elif v == nodes:
                            if source == 1 and here[p]:
                                new_done |= new_here
                                for g in range(n_groups):
                                    if new_here >> g & 1:
                                        new_key ^= keys[n_rows + g] ^ keys[n_rows + n_groups + g]
                                new_here = 0
                            left[:] = rem[p]
                        elif source == 0:
                            left[:] = rem[p]
                        else:
                            old = -1
                            by = a
                            new_cost -= credit[a]
                            left[:] = rem[p]
                            for k in range(give_start[a], give_start[a + 1]):
                                r = give_row[k]
                                g = group[r]
                                if g < 0 or new_here >> g & 1:
                                    units = min(give_units[k], left[r])
                                    left[r] -= units
                                    new_key += np.uint64(units) * keys[r]
                        way = rest[b + 1] if v == nodes else ahead[first_node[b] + v] + rest[b + 1]
                        bound = _bound(
                            new_cost, left, new_here, new_done, b, way, group, pi, local, penalty, group_ahead[b + 1]
                        )
                        if bound >= value:
                            continue
                        at = _slot(table, stamp, now, new_key, c_key)
                        if stamp[at] == now:
                            k = table[at]
                            if c_cost[k] <= new_cost:
                                continue
                        else:
                            if n == room:
                                whole = False
                                # Room for more: the least bounds stay.
                                kept = _least(c_bound, n, width)
                                now += 1
                                for m in range(kept.shape[0]):
                                    k = kept[m]
                                    c_bound[m] = c_bound[k]
                                    c_cost[m] = c_cost[k]
                                    c_key[m] = c_key[k]
                                    c_old[m] = c_old[k]
                                    c_parent[m] = c_parent[k]
                                    c_arc[m] = c_arc[k]
                                    c_here[m] = c_here[k]
                                    at = _slot(table, stamp, now, c_key[m], c_key)
                                    table[at] = m
                                    stamp[at] = now
                                n = kept.shape[0]
                                at = _slot(table, stamp, now, new_key, c_key)
                            k = n
                            n += 1
                            table[at] = k
                            stamp[at] = now
                        c_bound[k] = bound
                        c_cost[k] = new_cost
                        c_key[k] = new_key
                        c_old[k] = old
                        c_parent[k] = p
                        c_arc[k] = by
                        c_here[k] = new_here
                source += 1
                if source > 1 and v < nodes:
                    a += 1
                if v == 0 or (v == nodes and source == 2):
                    break
            if n > width:
                whole = False
            kept = _least(c_bound, n, width)
            if count + kept.shape[0] > size:
                size = 2 * (count + kept.shape[0])
                cost = _grown(cost, size, count)
                rem = _grown_rows(rem, size, count)
                key = _grown(key, size, count)
                here = _grown(here, size, count)
                done = _grown(done, size, count)
                parent = _grown(parent, size, count)
                arc = _grown(arc, size, count)
            for m in range(kept.shape[0]):
                k = kept[m]
                p = c_old[k]
                if p < 0:
                    p = count
                    count += 1
                    q = c_parent[k]
                    cost[p] = c_cost[k]
                    rem[p] = rem[q]
                    key[p] = c_key[k]
                    here[p] = c_here[k]
                    done[p] = done[q]
                    parent[p] = q
                    arc[p] = c_arc[k]
                    if c_arc[k] >= 0:
                        for j in range(give_start[c_arc[k]], give_start[c_arc[k] + 1]):
                            r = give_row[j]
                            g = group[r]
                            if g < 0 or here[p] >> g & 1:
                                rem[p, r] -= min(give_units[j], rem[p, r])
                elif v == nodes and here[p]:
                    # No node of this board is gone on from any more.
                    done[p] |= here[p]
                    here[p] = 0
                    key[p] = c_key[k]
                if v == nodes:
                    out[m] = p
                else:
                    lists[v, m] = p
            if v == nodes:
                entries = kept.shape[0]
                entry[:entries] = out[:entries]
            else:
                held[v] = kept.shape[0]
    best = -1
    for q in range(entries):
        v = _value(cost[entry[q]], rem[entry[q]], penalty, flat)
        if v < value:
            value = v
            best = entry[q]
    length = 0
    p = best
    while p >= 0:
        length += arc[p] >= 0
        p = parent[p]
    arcs = np.empty(length, np.int32)
    p = best
    while p >= 0:
        if arc[p] >= 0:
            length -= 1
            arcs[length] = arc[p]
        p = parent[p]
    return arcs, value, whole


@njit(cache=True, nogil=True)
def _grown(old, size, count):
    new = np.empty(size, old.dtype)
    new[:count] = old[:count]
    return new


@njit(cache=True, nogil=True)
def _grown_rows(old, size, count):
    new = np.empty((size, old.shape[1]), old.dtype)
    new[:count] = old[:count]
    return new
