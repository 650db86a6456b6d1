"""Layouts taken apart: along each board arcs from node to node, a section each or a whole layout, of which paths are made."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from yieldopt.planning.demand.items import Item
from yieldopt.planning.layouts.columns import Column, Stretch, column_of
from yieldopt.planning.layouts.layout import joined
from yieldopt.planning.wood.stock import Stock


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a path along one stock: a section, or a whole layout where its sections are not known."""

    stock: int
    # In inches; a whole layout begins and ends nowhere.
    start: float
    end: float
    # (row, units), sorted by row.
    gives: tuple[tuple[int, float], ...]
    credit: float
    source: Stretch | Column

    @property
    def key(self) -> tuple[object, ...]:
        """The same for arcs of which only the one that earns most is of use."""
        return (self.stock, self.start, self.end, self.gives)


def arcs_of(column: Column, stocks: Sequence[Stock]) -> list[Arc]:
    """The arcs of one column."""
    if column.stretches:
        return [Arc(column.stock, s.start, s.end, s.gives, s.credit, s) for s in column.stretches]
    stock = stocks[column.stock]
    return [Arc(column.stock, -inf, inf, column.gives, float(column.layout.credit(stock)), column)]


def gathered(columns: Sequence[Column], stocks: Sequence[Stock], most: int, hint: Sequence[Column]) -> list[Arc]:
    """The arcs of `columns` that earn most of their kind, the first `most` in their order, those of `hint` in any case."""
    best: dict[tuple[object, ...], Arc] = {}
    for column in [*hint, *columns]:
        if len(best) >= most:
            break
        for arc in arcs_of(column, stocks):
            known = best.get(arc.key)
            if known is None or known.credit < arc.credit:
                best[arc.key] = arc
    return list(best.values())


@dataclass(frozen=True)
class Track:
    """The arcs of one stock between nodes: places along the board where one begins, and the last for all beyond."""

    stock: int
    nodes: int
    # (from node, to node, index of the arc), sorted by the node reached.
    arcs: tuple[tuple[int, int, int], ...]


def tracks(arcs: Sequence[Arc]) -> list[Track]:
    """The track of each stock that has an arc, stocks in their order."""
    by_stock: dict[int, list[int]] = {}
    for k, a in enumerate(arcs):
        by_stock.setdefault(a.stock, []).append(k)
    found = []
    for i in sorted(by_stock):
        mine = by_stock[i]
        starts = sorted({arcs[k].start for k in mine if arcs[k].start > -inf})
        last = max(1, len(starts))
        steps = []
        for k in mine:
            a = arcs[k]
            # An arc comes out at the next place where another begins.
            ends = (0, last) if a.start == -inf else (bisect_left(starts, a.start), bisect_left(starts, a.end - 1e-9))
            steps.append((*ends, k))
        found.append(Track(i, last + 1, tuple(sorted(steps, key=lambda s: (s[1], s[0], s[2])))))
    return found


def put_together(arcs: Sequence[Arc], stocks: Sequence[Stock], items: Sequence[Item]) -> list[Column]:
    """The layouts that some arcs make, which do not overlap: one a stock."""
    sections: dict[int, list[Stretch]] = {}
    whole = []
    for a in arcs:
        if isinstance(a.source, Column):
            whole.append(a.source)
        else:
            sections.setdefault(a.stock, []).append(a.source)
    made = [column_of(joined(i, [s.section for s in of]), stocks, items) for i, of in sections.items()]
    return sorted([*whole, *made], key=lambda k: k.stock)
