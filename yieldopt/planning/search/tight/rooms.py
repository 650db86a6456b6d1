"""What there is to fill on each stock: its clear width between flaws, in the grid's whole units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.planning.pricing.context import Context
from yieldopt.planning.search.tight.dense import Uses
from yieldopt.planning.wood.fits import in_place, in_units, keepouts


@dataclass(frozen=True, slots=True)
class Flaw:
    """What pieces keep clear of, from the room's corner: nothing of a section lies over it, strips may lie beside it."""

    start: int
    end: int
    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Thing:
    """An item as it is packed: gross sizes (a kerf added)."""

    item: int
    length: int
    width: int
    uses: Uses
    alone: bool


@dataclass(frozen=True)
class Fillable:
    """The rectangle of a stock that is filled; gross sizes. Flaws are in order along it and don't overlap along it."""

    stock: int
    x: Fraction
    y: Fraction
    length: int
    width: int
    flaws: tuple[Flaw, ...]
    things: tuple[Thing, ...]

    @property
    def area(self) -> int:
        """Of the wood beside the flaws."""
        return self.length * self.width - sum((f.end - f.start) * (f.high - f.low) for f in self.flaws)

    def wanted(self, need: Sequence[float]) -> tuple[Thing, ...]:
        """The things that give nothing beyond the need."""
        return tuple(t for t in self.things if all(need[r] >= u - 1e-9 for r, u in t.uses))


def room_of(context: Context, index: int) -> Fillable | None:
    """None where the stock has no width that goes all along it."""
    stock, g, kerf = context.stocks[index], context.grid, context.job.shop.kerf
    things = _things(context, index)
    near, far = stock.board.channel(stock.x0, stock.x1)
    near, far = max(near, stock.y0), min(far, stock.y1)
    if not stock.board.edges:
        far -= stock.board.crook
    # An outline's edges may be anywhere: the room begins and ends on the grid.
    units = Fraction(1, g.per_inch)
    near, far = -(-near // units) * units, far // units * units
    if not things or far <= near or stock.x1 <= stock.x0:
        return None
    length, width = g.units(stock.x1 - stock.x0 + kerf.crosscut), g.units(far - near + kerf.rip)
    flaws = _flaws(context, index, things, g.units(near), g.units(far - near))
    return Fillable(index, stock.x0, near, length, width, flaws, things)


def _things(context: Context, index: int) -> tuple[Thing, ...]:
    g, kerf = context.grid, context.job.shop.kerf
    found = []
    for k in context.engine.full[index].cells.items:
        item = context.items[k]
        if item.at is None and any(context.need[r] > 0 for r, _ in item.gives):
            uses = tuple((r, float(u)) for r, u in item.gives)
            found.append(Thing(k, g.units(item.length + kerf.crosscut), g.units(item.width + kerf.rip), uses, item.alone))
    return tuple(found)


def _flaws(context: Context, index: int, things: tuple[Thing, ...], near: int, width: int) -> tuple[Flaw, ...]:
    """Defects that any of the things must keep clear of, with the greatest margins; those that overlap along the board
    are one."""
    g, stock = context.grid, context.stocks[index]
    x0, whole = g.units(stock.x0), g.units(stock.x1 - stock.x0)
    items = [in_units(context.items[t.item], g) for t in things]
    found: list[Flaw] = []
    for defect in stock.board.defects:
        d = in_place(defect, g, context.job.shop)
        if any(keepouts(i, [d], context.job.parts) for i in items):
            # No less than what blanks keep clear of it.
            left, right, bottom, top = d.of_pieces
            start, end = max(0, left - x0), min(whole, right - x0)
            low, high = max(0, bottom - near), min(width, top - near)
            if start < end and low < high:
                found.append(Flaw(start, end, low, high))
    out: list[Flaw] = []
    for f in sorted(found, key=lambda f: f.start):
        if out and f.start < out[-1].end:
            last = out.pop()
            f = Flaw(last.start, max(last.end, f.end), min(last.low, f.low), max(last.high, f.high))
        out.append(f)
    return tuple(out)
