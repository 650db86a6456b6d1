"""How far what is cut from a board may move and grow where it lies. Lengths are `Fraction` inches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise

from yieldopt.planning.wood.stock import Stock
from yieldopt.rules.clearance import ZERO, Box, Span, clear_of_blanks, clear_of_pieces, logged
from yieldopt.rules.faces import shows_fault
from yieldopt.rules.offcuts import unsound
from yieldopt.sizes.sizing import blank_width_limit, crook_loss, thickness_need, warp_loss
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Blank, Offcut, Piece
from yieldopt.wood.rectangles import Rect
from yieldopt.wood.tape import mark_of

ALONG, ACROSS = 0, 1


def meet(a: Span, b: Span) -> bool:
    """Have two spans more than a point in common?"""
    return a[0] < b[1] and b[0] < a[1]


@dataclass
class Cell:
    """A blank, the blanks of one run, or a kept offcut: what it needs, and the wood that the saw leaves it."""

    # Spans along and across the board; what is needed moves, the wood round it grows too.
    need: list[Span]
    wood: list[Span] = field(default_factory=list)
    blanks: tuple[Blank, ...] = ()
    pieces: tuple[Piece, ...] = ()
    offcut: Offcut | None = None
    # True where the maker has chosen its place.
    fixed: bool = False
    # How far it was moved along and across.
    shift: list[Fraction] = field(default_factory=lambda: [ZERO, ZERO])

    def __post_init__(self) -> None:
        self.wood = list(self.need)

    @property
    def rect(self) -> Rect:
        (x0, x1), (y0, y1) = self.wood
        return Rect(x0, y0, x1 - x0, y1 - y0)

    def span(self, axis: int) -> Span:
        """What it is in the plan: all the wood of a blank, no more of an offcut than it counts for."""
        return self.need[axis] if self.offcut else self.wood[axis]

    def size(self, axis: int) -> Fraction:
        """Of what it needs."""
        return self.need[axis][1] - self.need[axis][0]


@dataclass(frozen=True, slots=True)
class Limits:
    """On one axis: the wood may not reach beyond `low` and `high` nor be larger than `most`; the corner of what is needed
    lies from `first` to `last`."""

    low: Fraction
    high: Fraction
    first: Fraction
    last: Fraction
    most: Fraction


class Leeway:
    """The room of one stock's cells, given what lies where now."""

    def __init__(self, job: Job, stock: Stock, first: str, cells: Sequence[Cell]) -> None:
        self.job, self.stock, self.board, self.first, self.cells = job, stock, stock.board, first, cells

    def limits(self, cell: Cell, axis: int, extra: Fraction) -> Limits:
        """Never narrower than where it lies now; `extra` is the most that the wood should grow."""
        now, most = cell.need[axis], self._most(cell, axis, extra)
        if cell.fixed:
            low, high = self._clear(cell, axis)
            return Limits(min(low, now[0]), max(high, now[1]), now[0], now[0], most)
        low, high = self._clear(cell, axis)
        back, on = self._slides(cell, axis)
        first, last = max(low, now[0] - back), min(high - cell.size(axis), now[0] + on)
        if cell.offcut is not None:
            # What lies a little beyond an offcut may stay on it: it counts for no more than before.
            low, high = low - mark_of(self.job), high + mark_of(self.job)
        return Limits(min(low, now[0]), max(high, now[1]), min(first, now[0]), max(last, now[0]), most)

    def _clear(self, cell: Cell, axis: int) -> Span:
        """From where to where its wood may reach: on the board, clear of what a blank or an offcut may not hold."""
        low, high = self._on_board(cell, axis)
        now, other = cell.need[axis], cell.span(1 - axis)
        for box in self._barred(cell):
            if meet(box[1 - axis], other):
                low = max(low, box[axis][1]) if box[axis][1] <= now[0] else low
                high = min(high, box[axis][0]) if box[axis][0] >= now[1] else high
        return low, high

    def _barred(self, cell: Cell) -> Iterator[Box]:
        """What a blank keeps clear of whatever lies in it; for an offcut, every unsound defect."""
        for d in unsound(self.board.defects):
            box = clear_of_blanks(d, self.job.shop)
            if box is not None:
                yield box
            elif cell.offcut:
                yield logged(d)

    def _slides(self, cell: Cell, axis: int) -> Span:
        """How far its pieces may move back and on before one of them holds a defect that it may not."""
        back = on = self.board.length
        for p in cell.pieces:
            part = self.job.part_named[p.part]
            at = [(p.x + cell.shift[0], p.length), (p.y + cell.shift[1], p.width)]
            mine, other = ((s, s + size) for s, size in (at[axis], at[1 - axis]))
            for d in self.board.defects:
                if shows_fault(part, p, d):
                    box = clear_of_pieces(d, self.job.shop)
                    if meet(box[1 - axis], other):
                        back = min(back, mine[0] - box[axis][1]) if box[axis][1] <= mine[0] else back
                        on = min(on, box[axis][0] - mine[1]) if box[axis][0] >= mine[1] else on
        return back, on

    def _on_board(self, cell: Cell, axis: int) -> Span:
        s, x, y = self.stock, cell.span(ALONG), cell.span(ACROSS)
        if axis == ACROSS:
            near, far = self.board.channel(*x)
            return max(near, s.y0), min(far, s.y1) - self.crook(cell)
        low, high = s.x0, s.x1
        for a, b in _too_narrow(self.board, y) if self.board.edges else ():
            low = max(low, b) if b <= cell.need[0][0] else low
            high = min(high, a) if a >= cell.need[0][1] else high
        return low, high

    def crook(self, cell: Cell) -> Fraction:
        """Width that straightening takes from the section that the cell lies in."""
        if not self.board.crook or self.board.edges:
            return ZERO
        if self.first == "rip":
            return crook_loss(self.board, self.board.length)
        return crook_loss(self.board, self._section(cell)[1] - self._section(cell)[0])

    def _section(self, cell: Cell) -> Span:
        """From where to where along the board things lie side by side with the cell, and with those."""
        span, before = cell.span(ALONG), None
        while span != before:
            before = span
            beside = [c.span(ALONG) for c in self.cells if meet(c.span(ALONG), span)]
            span = min(w[0] for w in beside), max(w[1] for w in beside)
        return span

    def straightened(self) -> bool:
        """Does all that lies side by side fit in what straightening leaves of the width?"""
        if not self.board.crook or self.board.edges:
            return True
        for cell in self.cells:
            if cell.offcut is not None and cell.fixed:
                # The strip for a stress test: a slice right across, never straightened.
                continue
            span = (ZERO, self.board.length) if self.first == "rip" else self._section(cell)
            beside = [c.span(ACROSS) for c in self.cells if meet(c.span(ALONG), span)]
            if max(w[1] for w in beside) - min(w[0] for w in beside) > self.board.width - self.crook(cell):
                return False
        return True

    def _most(self, cell: Cell, axis: int, extra: Fraction) -> Fraction:
        size = cell.size(axis)
        if cell.offcut is not None:
            return max(size + mark_of(self.job), cell.wood[axis][1] - cell.wood[axis][0])
        if axis == ACROSS:
            extra = min(extra, *(blank_width_limit(self.job.shop, b.layers) - size for b in cell.blanks))
        for more in (extra / part for part in (1, 2, 4, 8, 16)):
            if more > 0 and all(self._mills(b, cell, axis, more) for b in cell.blanks):
                return size + more
        return size

    def _mills(self, b: Blank, cell: Cell, axis: int, more: Fraction) -> bool:
        """Is the board thick enough for this blank once it is so much longer or wider?"""
        width = cell.wood[1][1] - cell.wood[1][0] if axis == ALONG else b.width + more
        length = b.length + (more if axis == ALONG else cell.wood[0][1] - cell.wood[0][0] - cell.size(0))
        return mills(self.job, self.board, b, length, width)


def mills(job: Job, board: Board, b: Blank, length: Fraction, width: Fraction) -> bool:
    """Is the board thick enough for a blank's layers over a footprint of this size?"""
    need = thickness_need(b.thicknesses, board.stress == "tested", job.shop)
    return need <= board.thickness - warp_loss(board, length, width)


def _too_narrow(board: Board, y: Span) -> Iterator[Span]:
    """Stretches of an outlined board where a strip from `y[0]` to `y[1]` would leave the wood."""
    for a, b in pairwise(board.outline):
        for over_a, over_b in ((a.near - y[0], b.near - y[0]), (y[1] - a.far, y[1] - b.far)):
            if over_a > 0 and over_b > 0:
                yield a.x, b.x
            elif over_a > 0 or over_b > 0:
                crossing = a.x + (b.x - a.x) * over_a / (over_a - over_b)
                yield (a.x, crossing) if over_a > 0 else (crossing, b.x)


class Edges:
    """Where no rip is made along a board's own edge: what would fall off is too narrow, and the blanks beside it may keep
    it. It goes at the jointer."""

    def __init__(self, job: Job, board: Board, blanks: Sequence[Blank], least: Fraction) -> None:
        self.job, self.board, self.least = job, board, least
        self.of = {Rect(b.x, b.y, b.length, b.width): b for b in blanks}

    def stays(self, rects: Sequence[Rect], wood: Fraction, low: bool) -> bool:
        """May this much wood, at its widest, stay on what lies along the near (`low`) or far edge?"""
        kerf = self.job.shop.kerf.rip
        if wood < kerf:
            # The saw would run half in the air.
            return True
        return wood - kerf < self.least and all(self._keeps(r, wood, low) for r in rects)

    def _keeps(self, r: Rect, wood: Fraction, low: bool) -> bool:
        blank = self.of.get(r)
        if blank is None:
            return True
        near, far = self.board.channel(r.x, r.x + r.length)
        beside = r.y - near if low else far - r.y - r.width
        width = r.width + wood
        fits = width <= blank_width_limit(self.job.shop, blank.layers) and mills(self.job, self.board, blank, r.length, width)
        return fits and beside <= self.job.shop.kerf.rip + crook_loss(self.board, r.length)
