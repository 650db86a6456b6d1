"""Boards to be bought, drawn from a dealer's ranges: sizes from the price sheet, flaws by grade. Seeded."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache

from yieldopt.luck.bill import Bill, bill
from yieldopt.luck.grade_wood import GradeWood, flaws_outside, most_clear, sized, wood_of
from yieldopt.luck.poisson import poisson
from yieldopt.luck.regions import Plot, flawed_regions
from yieldopt.luck.surprises import KINDS, THROUGH, flaw_factor, hidden_flaws
from yieldopt.trade.limits import KNOTS_AND_HOLES
from yieldopt.wood.lumber import Board, Defect, PriceLine, Sawn

# Where a price sheet gives no range: widths 5 to 12 in, lengths 8 to 12 ft are typical of one yard (fishbrothersboardco.com).
WIDTHS = (Fraction(5), Fraction(12))
LENGTHS = (Fraction(96), Fraction(144))
EIGHTH = Fraction(1, 8)
SIXTEENTH = Fraction(1, 16)
# A quarter of common boards have crook of half an inch or more (Forest Products Journal, 1995: red oak, common grades).
CROOKED = 0.25


@dataclass(frozen=True)
class Drawn:
    """A board not seen yet: its place in the stream, what it would cost, the line it comes from."""

    # With the flaws that the dealer and the buyer see.
    board: Board
    bill: Bill
    line: PriceLine
    # Flaws that only planing uncovers.
    hidden: tuple[Defect, ...] = ()
    # How many boards of the line had been looked at when this one was found, itself included.
    looked_at: int = 1

    @property
    def opened(self) -> Board:
        """The board as it turns out to be."""
        return replace(self.board, defects=self.board.defects + self.hidden)


def draw_board(line: PriceLine, seed: int | str, name: str, hidden: float = 0.0, stress: str = "unknown") -> Drawn:
    """One board of a price line; the same `seed` gives the same board.

    `hidden` is flaws a square foot that planing uncovers in 4/4 No. 1 Common of ordinary shrinkage, beyond those the grade
    counts (see `surprises`). Uniform widths and lengths between
    the line's limits (price sheets say no more), widths in eighths, lengths in whole inches.
    """
    found = draw_fitting(line, seed, name, hidden, stress, lambda _: True)
    assert found is not None
    return found


def draw_fitting(
    line: PriceLine, seed: int | str, name: str, hidden: float, stress: str, fits: Callable[[Board], bool]
) -> Drawn | None:
    """The same board, None where it does not fit by what a tape shows: `fits` is asked before any flaw is drawn."""
    rng = random.Random(f"{seed}/{line.dealer}/{line.species}/{line.quarters}/{line.grade}/{name}")
    wood, _ = wood_of(line.grade)
    width = _between(rng, line.min_width, line.max_width, WIDTHS, EIGHTH)
    length = _between(rng, line.min_length, line.max_length, LENGTHS, Fraction(1))
    plus = rng.choice((0, 1, 1, 2)) * SIXTEENTH if wood.warps else Fraction(0)
    bow, cup, crook, twist = _warp(rng, wood) if wood.warps else (Fraction(0),) * 4
    sawn: Sawn = "quarter" if "quarter" in line.grade.casefold() else ("rift" if "rift" in line.grade.casefold() else "flat")
    bare = Board(
        name,
        line.species,
        line.quarters,
        line.nominal,
        length,
        width,
        line.nominal + plus,
        sawn,
        stress,  # type: ignore[arg-type]
        bow,
        cup,
        crook,
        twist,
    )
    if not fits(bare):
        return None
    defects = _flaws(rng, wood, line.nominal, length, width)
    unseen = hidden_flaws(rng, bare, line.grade, hidden * flaw_factor(line.species, line.grade, line.nominal))
    cost = bill(line, length, width)
    return Drawn(replace(bare, cost=cost.cost, defects=defects), cost, line, unseen)


def _between(
    rng: random.Random, low: Fraction | None, high: Fraction | None, usual: tuple[Fraction, Fraction], step: Fraction
) -> Fraction:
    least = low if low is not None else min(usual[0], high if high is not None else usual[0])
    most = high if high is not None else max(usual[1], least)
    return least + rng.randint(0, math.floor((most - least) / step)) * step


def _warp(rng: random.Random, wood: GradeWood) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    crook = Fraction(rng.choice((8, 8, 10)), 16) if rng.random() < CROOKED else Fraction(rng.choice((0, 0, 1, 2, 4)), 16)
    return (
        Fraction(rng.choice((1, 2, 3, 4, 5)), 16),
        Fraction(rng.choice((0, 1, 1, 2)), 16),
        crook,
        Fraction(rng.choice((0, 0, 1, 2)), 16),
    )


def _flaws(rng: random.Random, wood: GradeWood, nominal: Fraction, length: Fraction, width: Fraction) -> tuple[Defect, ...]:
    """Flaws outside the cuttings that the grade asks for: in clusters, as knots and what surrounds them come."""
    if not wood.flaws:
        return ()
    rate, seen = flaws_outside(wood, nominal), sized(wood, nominal)
    most = largest_knot(wood, length, width)
    return tuple(
        _flaw(rng, seen, region, most)
        for region in flawed_regions(rng, wood.rule, most_clear(wood, nominal), float(length), float(width))
        for _ in range(poisson(rng, rate * region.area / 144))
    )


def largest_knot(wood: GradeWood, length: Fraction, width: Fraction) -> float:
    """Most that a knot or hole measures on average along and across, inches: what FAS allows (Rules par. 60, see
    `trade.limits`), by the whole feet of surface; infinite in other grades."""
    if wood.rule.grade != "FAS":
        return math.inf
    return max(1, math.floor(width * math.floor(length / 12) / 12)) / 3


def _flaw(rng: random.Random, wood: GradeWood, within: Plot, most: float = math.inf) -> Defect:
    """One flaw anywhere in a region, no larger than it, knots and holes no larger than `most` on average; on eighths,
    inside it."""
    kind = rng.choices([k for k, _ in KINDS], [s for _, s in KINDS])[0]
    long = max(0.25, rng.expovariate(1 / wood.flaw_length)) * (3.0 if kind == "check" else 1.0)
    wide = max(0.25, rng.expovariate(1 / wood.flaw_width)) * (0.35 if kind == "check" else 1.0)
    if kind in KNOTS_AND_HOLES:
        # Sizes are rounded up to eighths.
        smaller = min(1.0, (most - 0.125) / ((long + wide) / 2))
        long, wide = long * smaller, wide * smaller
    x, span = _placed(rng, within.x0, within.x1, long)
    y, rise = _placed(rng, within.y0, within.y1, wide)
    face = "both" if rng.random() < THROUGH else rng.choice(("A", "B"))
    return Defect(kind, face, x, y, span, rise)  # type: ignore[arg-type]


def _placed(rng: random.Random, low: float, high: float, size: float) -> tuple[Fraction, Fraction]:
    """Start and extent in eighths of a stretch of `size` between two bounds: at least an eighth, never beyond them by more
    than the rounding of the bounds themselves to eighths inwards."""
    first, last = math.ceil(low * 8 - 1e-9), math.floor(high * 8 + 1e-9)
    steps = min(max(1, math.ceil(size * 8)), max(1, last - first))
    return _eighths(rng.randint(first, max(first, last - steps))), _eighths(steps)


@cache
def _eighths(count: int) -> Fraction:
    return Fraction(count, 8)
