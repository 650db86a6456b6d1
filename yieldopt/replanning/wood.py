"""The pieces of wood that cuts leave of a board or of a blank's layer, and which cuts each of them needed.

Kept apart from the check's own replay on purpose: the check shares no code with what makes a plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.lumber import Board
from yieldopt.plan import Cut, Placed

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
        return (
            thing.x >= self.x0 - EPS
            and thing.y >= self.y0 - EPS
            and thing.x + thing.length <= self.x1 + EPS
            and thing.y + thing.width <= self.y1 + EPS
        )


def whole_board(board: Board) -> Wood:
    """The board before its first cut."""
    return Wood(Fraction(0), board.length, min(p.near for p in board.outline), max(p.far for p in board.outline))


def around(thing: Placed) -> Wood:
    """A blank as it comes off the saw."""
    return Wood(thing.x, thing.x + thing.length, thing.y, thing.y + thing.width)


def saw(start: Wood, cuts: Iterable[Cut]) -> tuple[list[Wood], dict[int, set[int]]]:
    """What crosscuts and rips leave of one piece of wood, made in their order; and for each cut the orders of the cuts
    that had to be made before it."""
    left = [start]
    needs: dict[int, set[int]] = {}
    for cut in sorted(cuts, key=lambda c: c.order):
        after: list[Wood] = []
        for wood in left:
            if not _meets(wood, cut):
                after.append(wood)
                continue
            needs.setdefault(cut.order, set()).update(wood.cuts)
            after += _halves(wood, cut)
        left = after
    return left, needs


def _meets(wood: Wood, cut: Cut) -> bool:
    low, high, a, b = (wood.x0, wood.x1, wood.y0, wood.y1) if cut.kind == "crosscut" else (wood.y0, wood.y1, wood.x0, wood.x1)
    across = min(cut.at + cut.kerf, high) - max(cut.at, low) > EPS
    return across and min(cut.end, b) - max(cut.start, a) > EPS


def _halves(wood: Wood, cut: Cut) -> list[Wood]:
    at, past = cut.at, cut.at + cut.kerf
    cuts = (*wood.cuts, cut.order)
    if cut.kind == "crosscut":
        both = [replace(wood, x1=min(at, wood.x1), cuts=cuts), replace(wood, x0=max(past, wood.x0), cuts=cuts)]
    else:
        section = wood.section or (wood.x0, wood.x1)
        both = [
            replace(wood, y1=min(at, wood.y1), cuts=cuts, section=section),
            replace(wood, y0=max(past, wood.y0), cuts=cuts, section=section),
        ]
    return [w for w in both if w.x1 - w.x0 > EPS and w.y1 - w.y0 > EPS]


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
