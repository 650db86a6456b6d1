"""Where exact figures become machine integers: what each kind has to hold, why it does, and what is done where it would not.

Lengths are fractions with denominators of up to 21 digits (see `lengths.FINEST_TAKEN`), so their common denominator has no
limit. They stay Python's whole numbers until a division has made them small; this is where each of them becomes small:

| what | held in | why it fits |
| --- | --- | --- |
| units of a row in labels and whole choices | 32 bits, sums in 64 | `counted`: exact up to `MOST_UNITS` wanted, else coarser |
| widths of staves that are shared out | 64 bits | `whole_numbers`: the same |
| money in whole choices | 64 bits | `money_step`: hundredths of a cent, or coarser where sums pass `MOST_MONEY` |
| groups that one board must give, in labels | a bit each of 64 | labels are used up to `MOST_GROUPS` of them |
| places on a board | cells, in 32 bits | a step is no finer than a sixteenth and `MOST_CELLS` a board: see `fewer_cells` |
| worth of a layout in pricing | 16 or 32 bits | `SEARCH`, `BOUND`: scaled to the board's whole area at its dearest |
| sides of a sheet of the guillotine engine | indices in 32 bits | a sheet of more than `LONGEST_SIDE` is refused |
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import reduce
from math import ceil, floor, lcm

import numpy as np

# Most that is wanted of a row, in whole numbers. What a source gives is counted up to that, so that it fits in 32 bits, and
# so does a label's rest; the sums of thousands of sources stay far below 2^63.
MOST_UNITS = 1 << 30
# Whole numbers that equal shares of one glued-up part stay whole in, up to 14 staves; the finest that fits is used.
SHARES = (720_720, 27_720, 2_520, 60, 1)
# What floats may be off by where units are counted coarsely, in whole numbers: products of up to 2^30, good to 2^-52.
OFF = 1e-4

# Whole choices count money in hundredths of a cent; sums of costs, credits and penalties may reach this, of 2^63.
MONEY = 10_000.0
MOST_MONEY = float(1 << 52)
# Least money that a step of shortness costs in a whole choice, in its whole numbers, so that rounding does not matter.
LEAST_SHORT = 1000

# Labels open every set of the groups that a board can give: twice the work for each.
MOST_GROUPS = 8

# Most cells of one board: 40 feet by 20 inches in sixteenths are 2.5 million.
MOST_CELLS = 4_000_000

# (type, worth of a whole board, bits by which offcuts' rows are finer, worth next to nothing each). No layout is worth more
# than the board's whole area at the most that a cell of any item, or of a kept offcut, is worth: that is scaled to the second
# figure. The bound grants each offcut a row besides and rounds each worth up, less than as much again. `never_of` in the
# kernels lies further below nothing than any worth above it. In 16 bits a layout is underrated by less than a thousandth.
SEARCH = (np.int16, 16_000, 6)
BOUND = (np.int32, 1 << 27, 0)

# Longest side of a sheet of the guillotine engine, in its units: it keeps an index for each.
LONGEST_SIDE = 20_000_000


@dataclass(frozen=True, slots=True)
class Count:
    """Units of one row as whole numbers, `per` of them a unit. Where they can't be exact, what is given is counted down and
    what is wanted up: no choice then counts as whole that is short."""

    per: float = 1.0
    exact: bool = True

    def given(self, units: float) -> int:
        """What a source counts for: all that is wanted at most."""
        n = units * self.per
        return min(MOST_UNITS, round(n) if self.exact else floor(n + OFF))

    def wanted(self, units: float) -> int:
        n = units * self.per
        return round(n) if self.exact else ceil(n - OFF)


def counted(need: Fraction, unit: Fraction, given: Iterable[Fraction]) -> Count:
    """How to count a row of which `need` is wanted and the sources give `given`; `unit` is what one finished part takes of
    it. Exact where that stays within `MOST_UNITS`; else equal shares of a part stay whole as far as they can."""
    per = reduce(lcm, (g.denominator for g in given), need.denominator)
    if need * per <= MOST_UNITS:
        return Count(float(per))
    copies = max(1, ceil(need / unit))
    share = next(s for s in SHARES if copies * s <= MOST_UNITS or s == 1)
    return Count(float(max(1, MOST_UNITS // (copies * share)) * share / unit), False)


def whole_numbers(given: Sequence[Fraction], whole: Fraction) -> tuple[list[int], int]:
    """The figures in whole numbers, and `whole` in them, to be made up of some: `given` are never too great."""
    per = Fraction(reduce(lcm, (g.denominator for g in given), whole.denominator))
    if whole * per > MOST_UNITS:
        per = MOST_UNITS // SHARES[0] * SHARES[0] / whole
    return [min(MOST_UNITS, floor(g * per)) for g in given], int(whole * per)


def money_step(most: float) -> float:
    """Whole numbers a unit of money, where sums may come to `most`."""
    return min(MONEY, MOST_MONEY / max(most, 1.0))


def short_step(each: float) -> int:
    """How many whole numbers of a row make one step of going short, where going short of one costs `each`."""
    return 1 if each >= LEAST_SHORT else ceil(LEAST_SHORT / max(each, LEAST_SHORT / MOST_UNITS))


def fewer_cells(length: Fraction, width: Fraction, step_x: Fraction, step_y: Fraction) -> int:
    """By how much both steps must be longer for a board of this size to have no more than `MOST_CELLS`."""
    times = 1
    while (length / (times * step_x)) * (width / (times * step_y)) > MOST_CELLS:
        times *= 2
    return times
