"""Positions of saw cuts that keep their distances, as many as can be on multiples of one mark.

A system of differences: node 0 is the origin, nodes 1 to n are cuts, and `p[j] >= p[i] + d[i][j]` for every pair that has
something between it. All in whole numbers of one unit. With every path taken into account, any value between the bounds of
one node can be completed to a solution; if some nodes are to be multiples of the mark, the bounds between those are rounded
up to multiples, which loses none of their solutions (all others can be eliminated first).
"""

from __future__ import annotations

from collections.abc import Sequence

Matrix = list[list[int]]


class Distances:
    """The system. It only takes distances that the positions of now keep, so it always has a solution."""

    def __init__(self, now: Sequence[int]) -> None:
        self.now = [0, *now]
        self.pairs: dict[tuple[int, int], int] = {}

    def apart(self, i: int, j: int, least: int) -> None:
        """Node `j` lies at least this far beyond node `i`, or as far as it does now where that is less."""
        least = min(least, self.now[j] - self.now[i])
        self.pairs[i, j] = max(self.pairs.get((i, j), least), least)

    def settled(self, mark: int) -> list[int]:
        """Positions of the nodes from 1 on: as many on marks as can be, earlier ones first, each as near to its place of
        now as the others allow."""
        n = len(self.now)
        # Stands for "nothing between them": far below any path, however fine the unit is.
        nothing = -8 * (n + 1) * (mark + max(map(abs, [*self.now, *self.pairs.values()])))
        d: Matrix = [[0 if i == j else self.pairs.get((i, j), nothing) for j in range(n)] for i in range(n)]
        _close(d, nothing)
        chosen, w = _on_marks(d, mark, nothing)
        for k, node in enumerate(chosen[1:], 1):
            half_up = (2 * self.now[node] + mark) // (2 * mark)
            at = min(max(half_up, w[0][k]), -w[k][0])
            _fix(w, k, at)
            _fix(d, node, at * mark)
        for node in range(1, len(d)):
            _fix(d, node, min(max(self.now[node], d[0][node]), -d[node][0]))
        return [d[0][node] for node in range(1, len(d))]


def _on_marks(d: Matrix, mark: int, nothing: int) -> tuple[list[int], Matrix]:
    """Nodes that can be on marks all at once, and the distances between them in marks, every path counted."""
    chosen, w = [0], [[0]]
    for v in range(1, len(d)):
        to = [_up(d[u][v], mark, nothing) for u in chosen]
        back = [_up(d[v][u], mark, nothing) for u in chosen]
        n = range(len(chosen))
        to = [max(w[i][j] + to[j] for j in n) for i in n]
        back = [max(back[j] + w[j][i] for j in n) for i in n]
        if max(a + b for a, b in zip(to, back, strict=True)) > 0:
            continue
        w = [[max(w[i][j], to[i] + back[j]) for j in n] + [to[i]] for i in n] + [[*back, 0]]
        chosen.append(v)
    return chosen, w


def _up(distance: int, mark: int, nothing: int) -> int:
    return nothing if distance < nothing // 2 else -(-distance // mark)


def _close(d: Matrix, nothing: int) -> None:
    """Take every path into account (Floyd and Warshall's algorithm, for longest paths)."""
    n = len(d)
    for k in range(n):
        through = d[k]
        for row in d:
            to = row[k]
            if to > nothing // 2:
                for j in range(n):
                    if to + through[j] > row[j]:
                        row[j] = to + through[j]


def _fix(d: Matrix, k: int, at: int) -> None:
    """Node `k` stays at `at`; every path counted again."""
    from_k, from_0 = list(d[k]), list(d[0])
    for row in d:
        to_0, to_k = row[0], row[k]
        for j in range(len(d)):
            best = max(to_0 + at + from_k[j], to_k - at + from_0[j])
            if best > row[j]:
                row[j] = best
