"""Words of what to buy that print and packet share: measures in the job's own units, second choices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.ground.lengths import MM_PER_INCH, Units, show
from yieldopt.wood.lumber import BOARD_FEET_PER_CUBIC_METRE

# Square feet in a square metre, by the inch of 25.4 mm.
SQUARE_FEET_PER_SQUARE_METRE = float(Fraction(1000) ** 2 / MM_PER_INCH**2 / 144)


@dataclass(frozen=True)
class Measures:
    """Volumes and areas in the words of a job's units: board feet and square feet, or cubic and square metres."""

    units: Units

    @property
    def metric(self) -> bool:
        return self.units == "mm"

    @property
    def volume(self) -> str:
        return "m³" if self.metric else "bf"

    @property
    def area(self) -> str:
        return "m²" if self.metric else "sq ft"

    def measured(self, board_feet: float) -> float:
        """Board feet in the measure of these units."""
        return board_feet / float(BOARD_FEET_PER_CUBIC_METRE) if self.metric else board_feet

    def volume_number(self, board_feet: float, digits: int = 0) -> str:
        """Of board feet; a thousandth of a cubic metre is four tenths of a board foot."""
        return f"{self.measured(board_feet):.3f}" if self.metric else f"{board_feet:.{digits}f}"

    def in_volume(self, board_feet: float, digits: int = 0) -> str:
        """With its unit: `314 bf`, `0.741 m³`."""
        return f"{self.volume_number(board_feet, digits)} {self.volume}"

    def area_number(self, square_feet: float, digits: int = 1) -> str:
        return f"{square_feet / SQUARE_FEET_PER_SQUARE_METRE:.{digits + 1}f}" if self.metric else f"{square_feet:.{digits}f}"

    def a_foot(self, money: float) -> float:
        """Money a square foot as money an area of these units."""
        return money * SQUARE_FEET_PER_SQUARE_METRE if self.metric else money

    def length(self, inches: float) -> str:
        """A size with its mark, to the next sixteenth or millimetre."""
        if self.metric:
            return f"{round(inches * float(MM_PER_INCH))} mm"
        return show(Fraction(round(inches * 16), 16), "in")

    def thickness(self, inches: float) -> str:
        """Signed, as spare thickness is told."""
        return f"{inches * float(MM_PER_INCH):+.1f}" if self.metric else f"{inches:+.2f}"


def second_choice_words(take: Sequence[str], without: Sequence[str], more: float | None) -> tuple[str, str, str]:
    """What to take, what to leave and what more that costs, where a board is gone. `more` None: nothing was found."""
    if more is None:
        return "found nothing that covers the job", "", "not known"
    return ", ".join(take) or "the other chosen ones do", ", ".join(without), f"{more:+.2f}"
