"""Volumes of wood as a shop counts them: board feet, or cubic metres where it measures in millimetres."""

from __future__ import annotations

from fractions import Fraction

from yieldopt.ground.lengths import Units
from yieldopt.wood.lumber import CUBIC_INCHES_PER_BOARD_FOOT, CUBIC_INCHES_PER_CUBIC_METRE

# Word for the unit, what a figure of it is divided by, and places printed: a ten-thousandth of a cubic metre is a tenth of a
# litre.
_HOW: dict[Units, tuple[str, Fraction, int]] = {
    "in": ("board feet", Fraction(CUBIC_INCHES_PER_BOARD_FOOT), 2),
    "mm": ("m³", CUBIC_INCHES_PER_CUBIC_METRE, 4),
}


def volume_unit(units: Units) -> str:
    """`board feet`, or `m³`."""
    return _HOW[units][0]


def volume(cubic_inches: Fraction, units: Units) -> float:
    """The figure in the shop's unit, for charts."""
    return float(cubic_inches / _HOW[units][1])


def volume_figure(cubic_inches: Fraction, units: Units) -> str:
    """The figure alone, for lists: `12.34`, or `0.0291`."""
    return f"{volume(cubic_inches, units):.{_HOW[units][2]}f}"


def in_volume(cubic_inches: Fraction, units: Units) -> str:
    """`12.34 board feet`, or `0.0291 m³`."""
    return f"{volume_figure(cubic_inches, units)} {volume_unit(units)}"
