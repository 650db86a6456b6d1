"""One layout of one stock: what is cut where, what is kept, what it gives and what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from yieldopt.planning.items import Item
from yieldopt.planning.stock import Stock


@dataclass(frozen=True, slots=True)
class Placed:
    """An item (index into the job's items) with its corner in inches on the board."""

    item: int
    x: Fraction
    y: Fraction


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle on the board, in inches."""

    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction


@dataclass(frozen=True, slots=True)
class Layout:
    """What one stock is cut into; which cut comes first follows from `first`."""

    # Index of the stock.
    stock: int
    placed: tuple[Placed, ...]
    offcuts: tuple[Rect, ...]
    first: Literal["crosscut", "rip"] = "crosscut"

    def gives(self, items: Sequence[Item]) -> dict[int, Fraction]:
        """Units supplied to each row."""
        total: dict[int, Fraction] = {}
        for p in self.placed:
            for row, units in items[p.item].gives:
                total[row] = total.get(row, Fraction(0)) + units
        return total

    def credit(self, stock: Stock) -> Fraction:
        """What its kept offcuts are worth."""
        return sum((r.length * r.width for r in self.offcuts), Fraction(0)) * stock.density

    def cost(self, stock: Stock) -> Fraction:
        """Net cost of using the stock this way rather than leaving it alone."""
        return stock.cost + stock.idle_credit - self.credit(stock)
