"""Surface measure and board feet, exactly and as the dealer counts them.

As the dealer counts: full width in inches with its fraction, times whole feet of length with the fraction dropped, over
12, rounded to the nearest whole foot, times the nominal thickness; stock under an inch counts as an inch (goodwoodcorp.com,
Hardwood lumber terminology, and S&W Report vol. 12, 1998; AHEC, Grading of sawn lumber: measurement; NHLA Rules Corner,
December 2020, citing Rules p. 7 par. 16).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from yieldopt.wood.lumber import Board

# What to do with exactly half a foot. `alternate`: down on one board, up on the next (King, Elements of Woodwork, 1911,
# for reading a lumber scale; `unverified`: half). `up`: as some yards do (common
# practice, no source). Sources that only say "nearest" don't treat the half.
HalfRule = Literal["alternate", "up", "down"]

# A green (gross) tally, taken before the kiln, is this share more than a net one taken after it. Dealers' and trade
# pages give 3 to 8 %, 5 to 10 % and about 8 %; market reports' price pairs differ by about 7 %.
GREEN_SHARE = Fraction(7, 100)
GREEN_RANGE = (Fraction(3, 100), Fraction(10, 100))


@dataclass
class HalfRounder:
    """Rounds to the nearest whole number and remembers, for `alternate`, which way the last half went."""

    rule: HalfRule = "alternate"
    # Which way the next half goes; the first goes down (the order is our choice, the sources give none).
    _up_next: bool = False

    def round(self, value: Fraction) -> int:
        """The nearest whole number; exactly a half goes by the rule."""
        whole, rest = divmod(value, 1)
        if rest != Fraction(1, 2):
            return int(whole) + (rest > Fraction(1, 2))
        if self.rule != "alternate":
            return int(whole) + (self.rule == "up")
        up, self._up_next = self._up_next, not self._up_next
        return int(whole) + up


def whole_feet(length: Fraction) -> int:
    """Length as tallied: whole feet, the fraction dropped. `length` in inches."""
    return math.floor(length / 12)


def tally_width(board: Board) -> Fraction:
    """The width counted, in inches: the full width, or on a tapering board the width one third of the length from the
    narrow end (`unverified`: taper; King, 1911, averages the width of "more expensive lumber")."""
    if not board.edges:
        return board.width
    first, last = board.outline[0], board.outline[-1]
    x = board.length / 3 if first.far - first.near <= last.far - last.near else board.length * 2 / 3
    near, far = board.channel(x, x)
    return far - near


def surface_measure(width: Fraction, length: Fraction) -> Fraction:
    """Surface measure in square feet before rounding, from a width and length in inches."""
    return width * whole_feet(length) / 12


def counted_thickness(nominal: Fraction) -> Fraction:
    """Thickness that board feet are counted with: the nominal one, but an inch where it is under an inch."""
    return max(Fraction(1), nominal)


@dataclass(frozen=True, slots=True)
class BoardTally:
    """One board's line in the tally."""

    board: Board
    # Width in inches and whole feet of length, as counted.
    width: Fraction
    feet: int
    # Surface measure in square feet, before and after rounding.
    surface_exact: Fraction
    surface: int
    # Board feet: surface measure times counted thickness, and exact from the outline at nominal thickness.
    board_feet: Fraction
    board_feet_exact: Fraction
    # What it costs: exact volume times price or the board's own cost; and by the dealer's count. None: no price known.
    price_exact: Fraction | None
    price: Fraction | None

    @property
    def by_foot(self) -> bool:
        """Whether the dealer's count of board feet makes its price."""
        return self.board.cost is None and self.board.price_bf is not None


@dataclass(frozen=True, slots=True)
class Pack:
    """What a dealer writes on one line of the bill: boards of one nominal thickness at one price a board foot."""

    nominal: Fraction
    # None: boards with a price of their own, by volume, or without any.
    price_bf: Fraction | None
    # Sum of the rounded surface measures, and board feet, rounded to a whole foot.
    surface: int
    board_feet: int


@dataclass(frozen=True, slots=True)
class Tally:
    """A bundle's tally."""

    boards: tuple[BoardTally, ...]
    bills: tuple[Pack, ...]

    @property
    def packs(self) -> tuple[tuple[Fraction, int, int], ...]:
        """For each nominal thickness: sum of the rounded surface measures, and board feet."""
        sums: dict[Fraction, tuple[int, int]] = {}
        for b in self.bills:
            surface, feet = sums.get(b.nominal, (0, 0))
            sums[b.nominal] = (surface + b.surface, feet + b.board_feet)
        return tuple((n, *both) for n, both in sums.items())

    @property
    def board_feet(self) -> int:
        """Board feet of the bundle as the dealer counts: by thickness and price, each rounded to the nearest board foot."""
        return sum(b.board_feet for b in self.bills)

    @property
    def price_by_foot(self) -> Fraction:
        """What the boards priced by the board foot come to: the board feet that the bill says, times their price."""
        return sum((b.board_feet * b.price_bf for b in self.bills if b.price_bf is not None), Fraction(0))

    @property
    def price(self) -> Fraction | None:
        """What is to pay as the dealer counts; boards without any price are left out. None where no board has one."""
        other = [t.price for t in self.boards if not t.by_foot and t.price is not None]
        by_foot = any(b.price_bf is not None for b in self.bills)
        return self.price_by_foot + sum(other, Fraction(0)) if other or by_foot else None

    @property
    def board_feet_exact(self) -> Fraction:
        """Exact board feet of the bundle, from outlines and nominal thickness."""
        return sum((t.board_feet_exact for t in self.boards), Fraction(0))

    def green(self, share: Fraction = GREEN_SHARE) -> Fraction:
        """About what a green tally of the same boards would have said: the net one and `share` of it more."""
        return self.board_feet * (1 + share)


def tally(boards: Iterable[Board], half: HalfRule = "alternate") -> Tally:
    """Tally boards in the order given (with `alternate` the order decides which half goes up).

    Prices by the dealer's count use a price per board foot; a board's own cost is taken as it is, and a price per cubic
    metre goes by exact volume.
    """
    rounder = HalfRounder(half)
    lines = tuple(_line(b, rounder) for b in boards)
    return Tally(lines, _packs(lines, HalfRounder(half)))


def _line(board: Board, rounder: HalfRounder) -> BoardTally:
    width, feet = tally_width(board), whole_feet(board.length)
    exact = surface_measure(width, board.length)
    surface = rounder.round(exact)
    board_feet = surface * counted_thickness(board.nominal)
    priced = not (board.cost is None and board.price_bf is None and board.price_m3 is None)
    price_exact = board.price if priced else None
    by_count = board.cost is None and board.price_bf is not None
    price = board_feet * board.price_bf if by_count and board.price_bf is not None else price_exact
    return BoardTally(board, width, feet, exact, surface, board_feet, board.board_feet, price_exact, price)


def _packs(lines: Sequence[BoardTally], rounder: HalfRounder) -> tuple[Pack, ...]:
    """goodwoodcorp.com, Hardwood lumber terminology: sum the surface measures of one thickness, then multiply and round. What
    is priced apart is summed apart, so that feet times price is what is to pay (common practice, no source)."""
    sums: dict[tuple[Fraction, Fraction | None], int] = {}
    for line in lines:
        key = (line.board.nominal, line.board.price_bf if line.by_foot else None)
        sums[key] = sums.get(key, 0) + line.surface
    order = sorted(sums.items(), key=lambda x: (x[0][0], x[0][1] is None, x[0][1] or 0))
    return tuple(Pack(n, price, s, rounder.round(s * counted_thickness(n))) for (n, price), s in order)
