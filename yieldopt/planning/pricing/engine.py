"""Prices many stocks at once: one pricer a stock, run through an executor, answers in a fixed order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod

import numpy as np

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.demand.items import Item
from yieldopt.planning.layouts.columns import Column, column_of
from yieldopt.planning.layouts.layout import Layout
from yieldopt.planning.pricing.crew import Crew, Floats, Here, Kind, OutOfTime, Pricers
from yieldopt.planning.pricing.sections import Counted, Priced, SectionPricer
from yieldopt.planning.wood.stock import Stock
from yieldopt.workers.serial import Serial

__all__ = ["Engine", "Floats", "OutOfTime", "PricedColumn"]


@dataclass(frozen=True, slots=True)
class PricedColumn:
    """A column with its worth at the prices asked: the most that any layout of its stock is worth."""

    worth: float
    column: Column
    # Columns that use fewer copies, where copies are counted.
    fewer: tuple[Column, ...]


class Engine:
    """Best layout of each stock for given row values."""

    def __init__(
        self,
        stocks: Sequence[Stock],
        items: Sequence[Item],
        rows: int,
        full: Sequence[SectionPricer],
        quick: Sequence[SectionPricer],
        loose: Sequence[SectionPricer],
        crew: Crew,
        rounds: list[int] | None = None,
    ) -> None:
        self.stocks, self.items, self.crew = stocks, items, crew
        # Cells gone through by each round of pricing (see `SectionPricer.work`), those of engines beside this one too; whole
        # numbers, so that their sum does not hang on whose came first.
        self._rounds = [] if rounds is None else rounds
        self.supply = np.zeros((len(items), rows))
        for k, item in enumerate(items):
            for r, units in item.gives:
                self.supply[k, r] = float(units)
        self.full, self.quick, self.loose = full, quick, loose

    @property
    def pricers(self) -> Pricers:
        """A pricer a stock: of every layout that can be cut, of the quick ones, and of all that the bound must not miss."""
        return {"full": self.full, "quick": self.quick, "loose": self.loose}

    @property
    def cells(self) -> int:
        """Cells gone through so far."""
        return sum(self._rounds)

    def work_of(self, stock: int) -> float:
        """Cells that one full pricing of a stock goes through without counting."""
        return self.full[stock].work

    def alone(self) -> Engine:
        """The same pricers run one after another in the caller's thread, for callers that run beside each other."""
        rows = self.supply.shape[1]
        return Engine(self.stocks, self.items, rows, self.full, self.quick, self.loose, Here(Serial()), self._rounds)

    def _run(
        self, kind: Kind, which: Sequence[int], pi: Sequence[Floats], counted: Sequence[Counted], deadline: Deadline | None
    ) -> list[Priced]:
        pricers = self.pricers[kind]
        cells = sum(pricers[i].work * prod(cap + 1 for _, cap in caps) for i, caps in zip(which, counted, strict=True))
        self._rounds.append(round(cells))
        tasks = [
            (i, self.supply @ values, float(self.stocks[i].density), caps)
            for i, values, caps in zip(which, pi, counted, strict=True)
        ]
        return self.crew.price(self.pricers, kind, tasks, deadline)

    def price(
        self, which: Sequence[int], pi: Sequence[Floats], counted: Sequence[Counted], quick: bool, deadline: Deadline
    ) -> list[PricedColumn]:
        """For each stock in `which`, with its row values `pi` and counted rows: the best layout that can be cut.
        Raises `OutOfTime` when the deadline passes before all are priced."""
        return self._columns(self._run("quick" if quick else "full", which, pi, counted, deadline))

    def bound(self, which: Sequence[int], pi: Sequence[Floats], counted: Sequence[Counted]) -> list[PricedColumn]:
        """No layout of the stock, of the kinds considered, is worth more than this; the columns may be too good to be
        cut."""
        return self._columns(self._run("loose", which, pi, counted, None))

    def _columns(self, priced: Sequence[Priced]) -> list[PricedColumn]:
        def column(layout: Layout) -> Column:
            return column_of(layout, self.stocks, self.items)

        return [PricedColumn(p.worth, column(p.layout), tuple(map(column, p.fewer))) for p in priced]
