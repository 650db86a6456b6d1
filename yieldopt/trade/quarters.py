"""Hardwood thickness by quarters: what the name promises rough, and what is left surfaced two sides.

n/4 names the rough thickness in quarter inches (Engineering ToolBox, Hardwood lumber: dimensions; goodwoodcorp.com,
Hardwood lumber terminology, both after the hardwood grading rules). The table is `data/thickness.csv`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from yieldopt.trade import tables

# Kiln-dried rough stock of 3/8 to 1 3/4 in may be this much scant (NHLA blog, category kiln drying, 2012, citing
# the Rules, p. 56).
SCANT_UP_TO_7_QUARTERS = Fraction(1, 16)
# The same from 2 in up (`unverified`: scant).
SCANT_FROM_8_QUARTERS = Fraction(1, 8)
# Surfacing to the standard size takes this from both faces together (`unverified`: surfacing).
SURFACING_UP_TO_6_QUARTERS = Fraction(3, 16)
SURFACING_FROM_7_QUARTERS = Fraction(1, 4)


@dataclass(frozen=True, slots=True)
class Thickness:
    """One row of the thickness table."""

    # `4/4`, or below an inch the nominal thickness, `3/4"`.
    name: str
    # Nominal rough thickness and thickness surfaced two sides, inches.
    rough: Fraction
    surfaced: Fraction
    # False where the figure was not read in a source.
    verified: bool
    source: str


@cache
def thicknesses() -> tuple[Thickness, ...]:
    """The table, thinnest first."""
    return tuple(
        Thickness(r["name"], tables.inches(r["rough"]), tables.inches(r["surfaced"]), r["verified"] == "yes", r["source"])
        for r in tables.rows("thickness.csv")
    )


def thickness(nominal: Fraction) -> Thickness | None:
    """The row for a nominal rough thickness in inches; None where the table has none."""
    return next((t for t in thicknesses() if t.rough == nominal), None)


def scant_allowed(nominal: Fraction, kiln_dried: bool = True) -> Fraction:
    """How much thinner than `nominal` (inches) rough stock may measure and still be of that thickness.

    Nothing for green or air-dried stock: there the nominal thickness is the minimum (goodwoodcorp.com, Hardwood lumber
    terminology).
    """
    if not kiln_dried:
        return Fraction(0)
    return SCANT_UP_TO_7_QUARTERS if nominal < 2 else SCANT_FROM_8_QUARTERS


def is_scant(nominal: Fraction, measured: Fraction, kiln_dried: bool = True) -> bool:
    """Whether a board measured `measured` inches thick is thinner than its nominal thickness allows."""
    return measured < nominal - scant_allowed(nominal, kiln_dried)
