"""One layout of one stock: what is cut where, what is kept, what it gives and what it costs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from yieldopt.planning.demand.items import Item
from yieldopt.planning.wood.stock import Stock
from yieldopt.wood.rectangles import Rect


@dataclass(frozen=True, slots=True)
class Placed:
    """An item (index into the job's items) with its corner in inches on the board."""

    item: int
    x: Fraction
    y: Fraction


@dataclass(frozen=True, slots=True)
class Section:
    """What two crosscuts leave, from `start` to `end` (its kerf included), in inches on the board, and what is in it."""

    start: Fraction
    end: Fraction
    placed: tuple[Placed, ...]
    offcuts: tuple[Rect, ...]

    @property
    def credit_area(self) -> Fraction:
        """Square inches of kept offcuts."""
        return sum((r.length * r.width for r in self.offcuts), Fraction(0))


@dataclass(frozen=True, slots=True)
class Layout:
    """What one stock is cut into; which cut comes first follows from `first`."""

    # Index of the stock.
    stock: int
    placed: tuple[Placed, ...]
    offcuts: tuple[Rect, ...]
    first: Literal["crosscut", "rip"] = "crosscut"
    # Where it is known: the sections that make it up, so that sections of several layouts can be put together anew.
    sections: tuple[Section, ...] = ()

    def gives(self, items: Sequence[Item]) -> dict[int, Fraction]:
        """Units supplied to each row."""
        return supplied(self.placed, items)

    def credit(self, stock: Stock) -> Fraction:
        """What its kept offcuts are worth."""
        return sum((r.length * r.width for r in self.offcuts), Fraction(0)) * stock.density

    def cost(self, stock: Stock) -> Fraction:
        """Net cost of using the stock this way rather than leaving it alone."""
        return stock.cost + stock.idle_credit - self.credit(stock)


def supplied(placed: Iterable[Placed], items: Sequence[Item]) -> dict[int, Fraction]:
    """Units that these items give to each row."""
    total: dict[int, Fraction] = {}
    for p in placed:
        for row, units in items[p.item].gives:
            total[row] = total.get(row, Fraction(0)) + units
    return total


def joined(stock: int, sections: Sequence[Section]) -> Layout:
    """The layout that consists of these sections, which must not overlap."""
    in_order = tuple(sorted(sections, key=lambda s: s.start))
    placed = tuple(p for s in in_order for p in s.placed)
    return Layout(stock, placed, tuple(o for s in in_order for o in s.offcuts), sections=in_order)
