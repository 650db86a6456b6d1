"""Columns: priced layouts as the master problem sees them, and the pool that keeps every one found."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from yieldopt.planning.items import Item
from yieldopt.planning.layout import Layout
from yieldopt.planning.stock import Stock


@dataclass(frozen=True, slots=True)
class Column:
    """A layout with its money and what it supplies, as floats; exact figures stay in the layout."""

    layout: Layout
    stock: int
    # Net cost of the layout rather than leaving the stock alone.
    cost: float
    # (row, units), sorted by row.
    gives: tuple[tuple[int, float], ...]


def column_of(layout: Layout, stocks: Sequence[Stock], items: Sequence[Item]) -> Column:
    gives = tuple(sorted((r, float(a)) for r, a in layout.gives(items).items()))
    return Column(layout, layout.stock, float(layout.cost(stocks[layout.stock])), gives)


class Pool:
    """Every column found so far, by stock; of columns that give the same, only the cheapest is kept."""

    def __init__(self, stocks: int) -> None:
        self._best: list[dict[tuple[tuple[int, float], ...], Column]] = [{} for _ in range(stocks)]

    def add(self, column: Column) -> bool:
        """True where the column is new or cheaper than its like."""
        known = self._best[column.stock].get(column.gives)
        if known is not None and known.cost <= column.cost + 1e-9:
            return False
        self._best[column.stock][column.gives] = column
        return True

    def of(self, stock: int) -> Iterable[Column]:
        return self._best[stock].values()

    def __len__(self) -> int:
        return sum(len(b) for b in self._best)
