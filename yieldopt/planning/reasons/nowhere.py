"""Why a part has no place on a board, were the board its alone: the first thing in the way, or the fewest defects."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from yieldopt.ground.lengths import show
from yieldopt.insight.explaining import layers_from
from yieldopt.planning.demand.items import Item
from yieldopt.planning.kernels.stock import corner_values
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.reasons.conflicts import smallest_conflict
from yieldopt.planning.wood.cells import Cells, make_cells
from yieldopt.planning.wood.fits import fits, in_units
from yieldopt.planning.wood.stock import Stock
from yieldopt.rules.boards import may_come_from
from yieldopt.sizes.sizing import rough_sizes
from yieldopt.wood.lumber import Defect, Job, Part, Pin

# Defects named one by one; of more the number is told.
MOST_NAMED = 4


@dataclass(frozen=True, slots=True)
class Obstacle:
    """What keeps a part off one board."""

    board: str
    # Shared by boards with the same trouble.
    reason: str
    # This board's own figure, or "".
    figure: str
    # How far the part came before it failed: 0 barred, 1 size, 2 shape, 3 defects.
    stage: int
    # The fewest defects that leave it no place.
    defects: tuple[Defect, ...] = ()

    def __str__(self) -> str:
        return f"{self.reason}: {self.figure}" if self.figure else self.reason


def items_of(context: Context, part: Part) -> tuple[Item, ...]:
    """Whatever the part may be cut as: alone, ganged, in a pair or set, resawn; not what is held to a pin."""
    k = context.job.parts.index(part)
    return tuple(i for i in context.items if i.at is None and any(q.part == k for q in i.pieces))


def obstacle(context: Context, part: Part, stock: Stock) -> Obstacle | None:
    """What keeps `part`, or the pair, gang or set that it is cut with, off `stock`; None where it has a place there."""
    job, board = context.job, stock.board
    if board.species != part.species:
        return Obstacle(board.name, f"not {part.species}", "", 0)
    items = items_of(context, part)
    if may_come_from(part, board) and has_place(context, items, stock):
        return None
    layers, why = layers_from(part, board, job)
    if not layers:
        barred = not why.detail and why.reason not in ("not to be resawn", "beyond the machines")
        return Obstacle(board.name, why.reason, why.detail, 0 if barred else 1)
    size = footprint(part, job)
    if not has_place(context, items, _clear(stock)):
        return Obstacle(board.name, f"{_shape(stock, job)} leaves no room for {size}", "", 2)
    found = blocking(context, items, stock)
    leave = "leaves" if len(found) == 1 else "together leave"
    return Obstacle(board.name, f"{named(found, job)} {leave} no clear {size}", "", 3, found)


def off_its_pin(context: Context, pin: Pin) -> str | None:
    """What keeps a pinned piece from its pin; None where it could lie there."""
    job = context.job
    items = tuple(i for i in context.items if i.at is not None and any(context.rows[r].pin == pin for r, _ in i.gives))
    place = f"{pin.piece} can't lie at its pin on {pin.board}, {show(pin.x, job.units)}, {show(pin.y, job.units)}"
    for stock in (s for s in context.stocks if s.name == pin.board):
        if has_place(context, items, stock):
            return None
        if has_place(context, items, _clear(stock)):
            found = blocking(context, items, stock)
            return f"{place}: {named(found, job)} {'is' if len(found) == 1 else 'are'} in the way"
    return f"{place}: the blank is not inside the usable board, or it is not thick enough there"


def _clear(stock: Stock) -> Stock:
    return replace(stock, board=replace(stock.board, defects=()))


def blocking(context: Context, items: Sequence[Item], stock: Stock) -> tuple[Defect, ...]:
    """The fewest defects of the stock that leave none of `items` a place."""

    def leave_none(defects: Sequence[Defect]) -> bool:
        return not has_place(context, items, replace(stock, board=replace(stock.board, defects=tuple(defects))))

    return smallest_conflict(stock.board.defects, leave_none, context.tuning.conflicts.most_tests)


def footprint(part: Part, job: Job) -> str:
    """The part's rough size in words."""
    return " or ".join(f"{show(length, job.units)} x {show(width, job.units)}" for length, width in rough_sizes(part, job.shop))


def has_place(context: Context, items: Sequence[Item], stock: Stock) -> bool:
    """False only if no layout of the kinds considered has one of `items` on this stock: places are read as the bound
    reads them."""
    units = [in_units(i, context.grid) for i in items]
    able = fits(stock, items, units, context.grid, context.job, range(len(items)))
    return any_place(make_cells(stock, items, units, context.grid, context.job, True, able))


def any_place(c: Cells) -> bool:
    """Whether any of the items can lie anywhere."""
    out, one = np.empty((1, c.ground.width, c.ground.length), np.int16), np.ones(1, np.int32)
    for k in range(len(c.items)):
        corner_values(c.only(np.array([k])).ground, one, out)
        if (out > 0).any():
            return True
    return False


def _shape(stock: Stock, job: Job) -> str:
    board = stock.board
    if board.edges:
        return "its outline"
    if board.crook:
        return f"its crook of {show(board.crook, job.units)}"
    return "what is left of it" if stock.x1 - stock.x0 < board.length / 2 else "its end trim and warp"


def named(defects: Sequence[Defect], job: Job) -> str:
    """`the knot at 20 3/4" and the check at 41"`."""
    if len(defects) > MOST_NAMED:
        low, high = min(d.x for d in defects), max(d.x + d.length for d in defects)
        return f"{len(defects)} defects from {show(low, job.units)} to {show(high, job.units)}"
    each = [f"the {d.kind} at {show(d.x, job.units)}, {show(d.y, job.units)}" for d in sorted(defects, key=lambda d: d.x)]
    return listed(each)


def listed(words: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 2 else words)
