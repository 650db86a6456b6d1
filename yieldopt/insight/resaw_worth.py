"""What a resaw cut is worth in wood beside buying thin stock, and the minutes at which its labour eats that up.

Money is `Fraction` in the job's own; lengths are inches.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Blank, BoardPlan, Plan

# What an hour may be worth, for the break-even minutes: no trustworthy time for a resaw is published, so none is assumed.
HOURLY = (30, 60, 90)


@dataclass(frozen=True, slots=True)
class ResawWorth:
    """One resawn blank set against thin stock of the same outline for each of its layers."""

    blank: str
    cuts: int
    # Its share of its board's cost.
    wood: Fraction
    # What thin stock would cost, and which; None where the job names no price for any.
    thin: Fraction | None
    quarters: str = ""

    @property
    def a_cut(self) -> Fraction | None:
        """Money that one cut saves; below zero: what it costs."""
        return None if self.thin is None else (self.thin - self.wood) / self.cuts


def minutes(saved: Fraction, hourly: int) -> Fraction:
    """How long a cut may take before labour at `hourly` money an hour has eaten what it saves."""
    return saved / hourly * 60


def _thin_prices(job: Job, species: str) -> Iterable[tuple[Fraction, str, Fraction]]:
    """(nominal thickness, quarters, money a square inch) of stock of a species, bought or in the rack."""
    for line in job.prices:
        if line.species == species:
            yield line.nominal, line.quarters, line.price_bf * line.nominal / 144
    for b in job.boards:
        if b.species == species and b.price > 0:
            yield b.nominal, b.quarters, b.price / b.area


def _worth(job: Job, board: Board, bp: BoardPlan, blank: Blank) -> ResawWorth:
    wood = bp.cost * blank.length * blank.width / board.area
    prices = sorted(_thin_prices(job, board.species), key=lambda p: (p[2], p[0]))
    total, names = Fraction(0), []
    for thick in blank.thicknesses:
        need = thick + 2 * job.shop.allowances.face
        fits = next(((q, price) for nominal, q, price in prices if need <= nominal < board.nominal), None)
        if fits is None:
            return ResawWorth(blank.blank, blank.layers - 1, wood, None)
        names.append(fits[0])
        total += fits[1] * blank.length * blank.width
    return ResawWorth(blank.blank, blank.layers - 1, wood, total, " + ".join(sorted(set(names))))


def resaw_worths(job: Job, plan: Plan) -> dict[str, ResawWorth]:
    """The worth of every resawn blank, by its name. Thin stock is the cheapest by area that the job's price sheets or boards
    name, thick enough for the layer and thinner than the board; warp and yield are taken as equal."""
    return {
        blank.blank: _worth(job, job.board_named[bp.board], bp, blank)
        for bp in plan.boards
        for blank in bp.blanks
        if blank.layers > 1
    }
