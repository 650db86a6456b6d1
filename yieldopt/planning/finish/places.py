"""Whether an item or an offcut may lie at one exact place of a stock: by the fractions themselves, not by cells."""

from __future__ import annotations

from fractions import Fraction

from yieldopt.planning.pricing.context import Context
from yieldopt.planning.wood.fits import Keepout, in_place, in_units, keepouts
from yieldopt.rules.offcuts import unsound_in
from yieldopt.sizes.sizing import crook_loss
from yieldopt.wood.rectangles import Rect


class Places:
    """The places of one stock; remembers what each item must keep clear of."""

    def __init__(self, context: Context, stock: int) -> None:
        self.context, self.stock = context, context.stocks[stock]
        self.fit = frozenset(context.engine.full[stock].cells.items)
        self._defects = [in_place(d, context.grid, context.job.shop) for d in self.stock.board.defects]
        self._keep: dict[int, list[Keepout]] = {}

    def next_free(self, item: int, x: Fraction, y: Fraction) -> Fraction:
        """The lowest line from `y` on where the item is clear of every defect it minds; `x` is its corner."""
        per = self.context.grid.per_inch
        a, b = x * per, y * per
        while True:
            block = next((k for k in self._keepouts(item) if k.x0 < a < k.x1 and k.y0 < b < k.y1), None)
            if block is None:
                return b / per
            b = Fraction(block.y1)

    def free(self, item: int, x: Fraction, y: Fraction) -> bool:
        """Whether the item may have its corner here, as far as the board goes."""
        shape = self.context.items[item]
        low, high = self.between(x, x + shape.length)
        return item in self.fit and low <= y and y + shape.width <= high and self.next_free(item, x, y) == y

    def between(self, start: Fraction, end: Fraction) -> tuple[Fraction, Fraction]:
        """Lowest and highest line that a strip over this stretch may use."""
        s = self.stock
        near, far = s.board.channel(start, end)
        return max(near, s.y0), min(far, s.y1) - crook_loss(s.board, end - start)

    def clear(self, r: Rect) -> bool:
        """Whether an offcut may lie here: inside the board and without an unsound defect."""
        low, high = self.between(r.x, r.x + r.length)
        return low <= r.y and r.y + r.width <= high and self.next_clear(r, r.y) == r.y

    def next_clear(self, r: Rect, y: Fraction) -> Fraction:
        """The lowest line from `y` on where an offcut of this size and x has no unsound defect."""
        while True:
            block = unsound_in(self.stock.board.defects, r._replace(y=y))
            if block is None:
                return y
            y = block.y + block.width

    def _keepouts(self, item: int) -> list[Keepout]:
        if item not in self._keep:
            c = self.context
            self._keep[item] = keepouts(in_units(c.items[item], c.grid), self._defects, c.job.parts)
        return self._keep[item]
