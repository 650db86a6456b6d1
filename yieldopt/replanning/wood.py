"""The pieces of wood that cuts leave of a board or of a blank's layer, and which cuts each of them needed.

Kept apart from the check's own replay on purpose: the check shares no code with what makes a plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Cut, Placed

# Plans come from JSON numbers; a millionth of an inch is far below any saw.
EPS = Fraction(1, 1_000_000)


@dataclass(frozen=True, slots=True)
class Wood:
    """One piece of wood; its natural sides follow the board's outline inside the rectangle."""

    x0: Fraction
    x1: Fraction
    y0: Fraction
    y1: Fraction
    # Orders of the cuts that parted it from the rest.
    cuts: tuple[int, ...] = ()
    # Stretch of the board that it was when a rip first went through it: what crook is straightened over.
    section: tuple[Fraction, Fraction] | None = None

    @property
    def x(self) -> Fraction:
        return self.x0

    @property
    def y(self) -> Fraction:
        return self.y0

    @property
    def length(self) -> Fraction:
        return self.x1 - self.x0

    @property
    def width(self) -> Fraction:
        return self.y1 - self.y0

    def holds(self, thing: Placed) -> bool:
        """Does a rectangle lie wholly in it?"""
        # Most lie elsewhere along the board, and plain comparisons of fractions are quicker than sums.
        if thing.x > self.x1 or (thing.x < self.x0 and thing.x < self.x0 - EPS):
            return False
        if thing.y > self.y1 or (thing.y < self.y0 and thing.y < self.y0 - EPS):
            return False
        return thing.x + thing.length <= self.x1 + EPS and thing.y + thing.width <= self.y1 + EPS


def whole_board(board: Board) -> Wood:
    """The board before its first cut."""
    return Wood(Fraction(0), board.length, min(p.near for p in board.outline), max(p.far for p in board.outline))


def around(thing: Placed) -> Wood:
    """A blank as it comes off the saw."""
    return Wood(thing.x, thing.x + thing.length, thing.y, thing.y + thing.width)


# A piece of wood while it is sawn: sides x0, x1, y0, y1, the cuts that parted it, the stretch it was when first ripped.
_Raw = tuple[int, int, int, int, tuple[int, ...], tuple[int, int] | None]
# A cut: its number, whether it goes across, where it begins and ends along the wood or across it, its extent.
_Line = tuple[int, bool, int, int, int, int]


def saw(start: Wood, cuts: Iterable[Cut]) -> tuple[list[Wood], dict[int, set[int]]]:
    """What crosscuts and rips leave of one piece of wood, made in their order; and for each cut the orders of the cuts
    that had to be made before it.

    Reckoned in whole numbers of the least unit that all sides share: fractions are ten times as slow.
    """
    cuts = sorted(cuts, key=lambda c: c.order)
    sides = [start.x0, start.x1, start.y0, start.y1, *(start.section or ())]
    unit = lcm(*(v.denominator for v in (*sides, *(v for c in cuts for v in (c.at, c.kerf, c.start, c.end)))))

    def whole(v: Fraction) -> int:
        return v.numerator * (unit // v.denominator)

    # More than this is more than `EPS`.
    hair = int(unit * EPS)
    section = None if start.section is None else (whole(start.section[0]), whole(start.section[1]))
    left: list[_Raw] = [(whole(start.x0), whole(start.x1), whole(start.y0), whole(start.y1), start.cuts, section)]
    needs: dict[int, set[int]] = {}
    for cut in cuts:
        line = (cut.order, cut.kind == "crosscut", whole(cut.at), whole(cut.at + cut.kerf), whole(cut.start), whole(cut.end))
        after: list[_Raw] = []
        for wood in left:
            if _meets(wood, line, hair):
                needs.setdefault(cut.order, set()).update(wood[4])
                after += _halves(wood, line, hair)
            else:
                after.append(wood)
        left = after

    def exact(raw: _Raw) -> Wood:
        x0, x1, y0, y1 = (Fraction(v, unit) for v in raw[:4])
        stretch = None if raw[5] is None else (Fraction(raw[5][0], unit), Fraction(raw[5][1], unit))
        return Wood(x0, x1, y0, y1, raw[4], stretch)

    return [exact(raw) for raw in left], needs


def _meets(wood: _Raw, line: _Line, hair: int) -> bool:
    x0, x1, y0, y1, _, _ = wood
    _, across, at, past, begin, end = line
    low, high, a, b = (x0, x1, y0, y1) if across else (y0, y1, x0, x1)
    return min(past, high) - max(at, low) > hair and min(end, b) - max(begin, a) > hair


def _halves(wood: _Raw, line: _Line, hair: int) -> list[_Raw]:
    x0, x1, y0, y1, before, section = wood
    order, across, at, past, _, _ = line
    cuts = (*before, order)
    both: list[_Raw]
    if across:
        both = [(x0, min(at, x1), y0, y1, cuts, section), (max(past, x0), x1, y0, y1, cuts, section)]
    else:
        stretch = section or (x0, x1)
        both = [(x0, x1, y0, min(at, y1), cuts, stretch), (x0, x1, max(past, y0), y1, cuts, stretch)]
    return [w for w in both if w[1] - w[0] > hair and w[3] - w[2] > hair]


def holding(left: Sequence[Wood], thing: Placed) -> Wood | None:
    """The piece of wood that a rectangle lies in; None where cuts went through it."""
    return next((w for w in left if w.holds(thing)), None)


def overlap(a: Placed, b: Placed, along: Fraction = Fraction(0), across: Fraction = Fraction(0)) -> bool:
    """Have two rectangles, the second grown by `along` and `across`, more than an edge in common?"""
    return (
        a.x < b.x + b.length + along - EPS
        and b.x - along < a.x + a.length - EPS
        and a.y < b.y + b.width + across - EPS
        and b.y - across < a.y + a.width - EPS
    )


def inside(a: Placed, b: Placed) -> bool:
    """Does rectangle `a` lie wholly in `b`?"""
    return around(b).holds(a)
