"""Thickness classes of stock on sale, by quarters and by millimetres, and their names."""

from __future__ import annotations

from fractions import Fraction

from yieldopt.ground.lengths import in_mm

# Classes that stock is sawn in, inches (grading rules' standard thicknesses, as in `trade.quarters`).
CLASSES = tuple(Fraction(q, 4) for q in (4, 5, 6, 8, 10, 12, 16))
# Stock sold by the millimetre is sawn a little over or under the quarters: 48 to 55 mm, 52 mm and the like, serve as 8/4 (common
# practice, no source).
THICK_FROM, THICK_TO = Fraction(480, 254), Fraction(550, 254)


def is_thick(nominal: Fraction) -> bool:
    """Whether a nominal thickness in inches is that of 8/4, the thick stock that resawing is asked about."""
    return THICK_FROM <= nominal <= THICK_TO


def class_name(nominal: Fraction) -> str:
    """A nominal thickness in inches as it is sold: `8/4`, or `27 mm` where it is no whole number of quarters."""
    quarters = nominal * 4
    return f"{quarters}/4" if quarters.denominator == 1 else f"{in_mm(nominal)} mm"
