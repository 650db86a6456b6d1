"""Columns: priced layouts as the master problem sees them, and the pool that keeps every one found."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.planning.demand.items import Item
from yieldopt.planning.layouts.layout import Layout, Section, supplied
from yieldopt.planning.wood.stock import Stock


@dataclass(frozen=True, slots=True)
class Stretch:
    """A section of a layout by itself, as floats: from `start` to `end` in inches, what it supplies, what its offcuts earn."""

    section: Section
    start: float
    end: float
    gives: tuple[tuple[int, float], ...]
    credit: float


@dataclass(frozen=True, slots=True)
class Column:
    """A layout with its money and what it supplies, as floats; exact figures stay in the layout."""

    layout: Layout
    stock: int
    # Net cost of the layout rather than leaving the stock alone.
    cost: float
    # (row, units), sorted by row.
    gives: tuple[tuple[int, float], ...]
    # Its sections, where the layout knows them.
    stretches: tuple[Stretch, ...] = ()


def column_of(layout: Layout, stocks: Sequence[Stock], items: Sequence[Item]) -> Column:
    stock = stocks[layout.stock]
    stretches = tuple(
        Stretch(s, float(s.start), float(s.end), _as_floats(supplied(s.placed, items)), float(s.credit_area * stock.density))
        for s in layout.sections
    )
    return Column(layout, layout.stock, float(layout.cost(stock)), _as_floats(layout.gives(items)), stretches)


def _as_floats(gives: Mapping[int, Fraction]) -> tuple[tuple[int, float], ...]:
    return tuple(sorted((r, float(a)) for r, a in gives.items()))


class Pool:
    """Every column found so far, by stock; of columns that give the same, only the cheapest is kept."""

    def __init__(self, stocks: int, under: Pool | None = None) -> None:
        self._best: list[dict[tuple[tuple[int, float], ...], Column]] = [{} for _ in range(stocks)]
        self._under = under

    def add(self, column: Column) -> bool:
        """True where the column is new or cheaper than its like."""
        known = self._best[column.stock].get(column.gives)
        if known is None and self._under is not None:
            known = self._under._best[column.stock].get(column.gives)
        if known is not None and known.cost <= column.cost + 1e-9:
            return False
        self._best[column.stock][column.gives] = column
        return True

    def of(self, stock: int) -> Iterable[Column]:
        mine = self._best[stock]
        if self._under is None:
            return mine.values()
        return [*(k for k in self._under.of(stock) if k.gives not in mine), *mine.values()]

    def all(self) -> Iterator[Column]:
        """Every column kept, stock by stock."""
        for stock in range(len(self._best)):
            yield from self.of(stock)

    def apart(self) -> Pool:
        """A pool that sees this one's columns and keeps what is new to itself, for work beside other work."""
        return Pool(len(self._best), self)

    def merge(self, other: Pool) -> None:
        """Take over the new columns of a pool made by `apart`."""
        for best in other._best:
            for column in best.values():
                self.add(column)

    def __len__(self) -> int:
        return sum(len(b) for b in self._best)
