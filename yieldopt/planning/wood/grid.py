"""The grid that layouts lie on: exact integer units, and steps fine enough that rounding costs next to nothing.

Sizes that share a step lose nothing to it. Where they do not, a layout is found with sizes rounded up (it can be cut)
and the bound with sizes rounded down (it can't be too high); the two differ by less than a step a piece.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import reduce
from math import gcd, lcm

from yieldopt.planning.demand.items import Item
from yieldopt.planning.demand.ranges import fewer_cells
from yieldopt.planning.wood.stock import Stock
from yieldopt.wood.lumber import Shop

# Steps aimed at, in inches: no coarser than the first, no finer than the second unless nothing is lost by it.
COARSEST = Fraction(1, 8)
FINEST = Fraction(1, 16)
# Jobs with more items than this are laid out on the coarser step along the board, where a step is least of a part; layers
# that fill little of their blank are not counted, there are many of few sizes.
MANY_ITEMS = 60


@dataclass(frozen=True, slots=True)
class Grid:
    """Integer units of 1/`per_inch` inch; steps along and across the board in those units."""

    per_inch: int
    step_x: int
    step_y: int
    # True where every item's size with its kerf is a whole number of steps.
    exact_x: bool
    exact_y: bool

    @property
    def along(self) -> float:
        """Inches in a step along the board."""
        return self.step_x / self.per_inch

    @property
    def across(self) -> float:
        """Inches in a step across the board."""
        return self.step_y / self.per_inch

    def units(self, length: Fraction) -> int:
        """An exact length in units; it is whole by the way the grid was made."""
        n, d = length.as_integer_ratio()
        each, rest = divmod(self.per_inch, d)
        if rest:
            raise ValueError(f"{length} is not on the grid of 1/{self.per_inch} in")
        return n * each


def coarser(grid: Grid) -> Grid:
    """The same units with longer steps: twice along the board, and across it up to `COARSEST`; less work for a little
    wood lost to rounding."""
    across = grid.step_y if 2 * grid.step_y > COARSEST * grid.per_inch else 2 * grid.step_y
    return Grid(grid.per_inch, 2 * grid.step_x, across, False, grid.exact_y and across == grid.step_y)


def common_step(sizes: Iterable[Fraction]) -> Fraction | None:
    """Greatest length that divides every size; None for no sizes."""
    fractions = [s for s in sizes if s]
    if not fractions:
        return None
    denominator = reduce(lcm, (f.denominator for f in fractions))
    return Fraction(reduce(gcd, (f.numerator * (denominator // f.denominator) for f in fractions)), denominator)


def choose_step(sizes: Iterable[Fraction], finest: Fraction = FINEST) -> tuple[Fraction, bool]:
    """A step for these sizes (each with its kerf), and whether it is exact."""
    common = common_step(sizes)
    if common is None:
        return COARSEST, True
    if common >= finest:
        return common / -(-common // COARSEST), True
    return finest, False


def make_grid(items: Iterable[Item], stocks: Iterable[Stock], shop: Shop) -> Grid:
    """The grid for one job: exact units for everything that has a size, and the two steps."""
    items, stocks = tuple(items), tuple(stocks)

    many = sum(not i.alone for i in items) > MANY_ITEMS
    step_x, exact_x = choose_step((i.length + shop.kerf.crosscut for i in items if i.at is None), COARSEST if many else FINEST)
    step_y, exact_y = choose_step(i.width + shop.kerf.rip for i in items if i.at is None)
    longer = max((fewer_cells(s.x1 - s.x0, s.y1 - s.y0, step_x, step_y) for s in stocks), default=1)
    if longer > 1:
        step_x, step_y, exact_x, exact_y = longer * step_x, longer * step_y, False, False
    denominators = {step_x.denominator, step_y.denominator, shop.kerf.crosscut.denominator, shop.kerf.rip.denominator}
    v, a = shop.values, shop.allowances
    denominators |= {v.offcut_min_length.denominator, v.offcut_min_width.denominator}
    denominators |= {m.denominator for m in (a.defect_along, a.defect_across, a.split_along, a.check_along, a.pith_across)}
    for item in items:
        denominators |= {item.length.denominator, item.width.denominator}
        for q in item.pieces:
            denominators |= {q.x.denominator, q.y.denominator, q.length.denominator, q.width.denominator}
        denominators |= {b.x.denominator for b in item.blanks}
        if item.at is not None:
            denominators |= {item.at[1].denominator, item.at[2].denominator}
    for s in stocks:
        denominators |= {s.x0.denominator, s.x1.denominator, s.y0.denominator, s.y1.denominator}
        for d in s.board.defects:
            denominators |= {d.x.denominator, d.y.denominator, d.length.denominator, d.width.denominator}
    per_inch = reduce(lcm, denominators, 1)
    return Grid(per_inch, int(step_x * per_inch), int(step_y * per_inch), exact_x, exact_y)
