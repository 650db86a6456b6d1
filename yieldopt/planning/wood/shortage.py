"""What going short of a part costs a relaxation at first: about what it costs to make, so that prices begin near the truth."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

from yieldopt.planning.demand.items import Item
from yieldopt.planning.demand.rows import Row
from yieldopt.planning.wood.cells import Cells
from yieldopt.planning.wood.stock import Stock

# Wood cut up for a part beside the part itself: common grades yield about half (common practice, no source).
WOOD_A_PART = 2.0


def at_first(rows: Sequence[Row], items: Sequence[Item], stocks: Sequence[Stock], cells: Sequence[Cells]) -> tuple[float, ...]:
    """Money a unit of each row: the wood of its items at the price of a middling stock that can give them, with waste;
    infinite where none can."""
    costs: list[list[float]] = [[] for _ in rows]
    for stock, c in zip(stocks, cells, strict=True):
        # Nothing fits on a stock that its trims use up.
        dear = float((stock.cost + stock.idle_credit) / ((stock.x1 - stock.x0) * (stock.y1 - stock.y0))) if c.items else 0.0
        for k in c.items:
            item = items[k]
            parts = sum(float(units * rows[r].finished) for r, units in item.gives)
            for r, _ in item.gives:
                costs[r].append(WOOD_A_PART * dear * float(item.length * item.width) * float(rows[r].finished) / parts)
    return tuple(median(c) if c else float("inf") for c in costs)
