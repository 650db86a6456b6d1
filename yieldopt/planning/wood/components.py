"""Splits a job into components that share neither a board nor a part, so that each is planned and proven by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from yieldopt.planning.demand.items import Item
from yieldopt.planning.demand.rows import Row
from yieldopt.planning.wood.cells import Cells


@dataclass(frozen=True, slots=True)
class Component:
    """Indices of rows and of the stocks that can supply any of them, both ascending."""

    rows: tuple[int, ...]
    stocks: tuple[int, ...]


def components(rows: Sequence[Row], items: Sequence[Item], cells: Sequence[Cells]) -> tuple[Component, ...]:
    """Components in the order of their first row. `cells` are the loose reading of every stock, which grants each item
    that any layout could hold. Stocks that can supply nothing are in none."""
    parent = list(range(len(rows) + len(cells)))

    def root(k: int) -> int:
        while parent[k] != k:
            parent[k] = k = parent[parent[k]]
        return k

    def join(a: int, b: int) -> None:
        a, b = sorted((root(a), root(b)))
        parent[b] = a

    for i, c in enumerate(cells):
        for k in c.items:
            for r, _ in items[k].gives:
                join(r, len(rows) + i)
    # A group is placed whole or not at all, and a stave width belongs to its pinned staves, wherever they come from.
    first: dict[tuple[str, object], int] = {}
    for r, row in enumerate(rows):
        if row.group is not None:
            join(first.setdefault(("group", row.group), r), r)
        if row.kind == "stave":
            join(first.setdefault(("stave", row.parts), r), r)
    roots = dict.fromkeys(root(r) for r in range(len(rows)))
    return tuple(
        Component(
            tuple(r for r in range(len(rows)) if root(r) == top),
            tuple(i for i in range(len(cells)) if root(len(rows) + i) == top),
        )
        for top in roots
    )
