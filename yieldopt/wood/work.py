"""The settings of the order of work: what is left on, how long wood rests, the air it will stand in."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Work:
    """How the wood is worked: what is left on, how long it rests. It changes what is printed, never the plan."""

    # Left over the final thickness at the first milling, in inches.
    rest_over: Fraction = Fraction(1, 8)
    # Days between the first milling and the last, of blanks and of resawn layers.
    rest_days: Fraction = Fraction(3)
    resaw_rest_days: Fraction = Fraction(14)
    # Hours after which the prongs of a stress test are read again.
    test_hours: Fraction = Fraction(24)
    # Shortest piece that a power saw crosscuts to length by itself, in inches.
    least_crosscut: Fraction = Fraction(6)


@dataclass(frozen=True, slots=True)
class Room:
    """The air in which the finished piece will stand."""

    # Least and greatest relative humidity over the year, percent; None: not said.
    humidity: tuple[Fraction, Fraction] | None = None
