"""Softwood: least dressed sizes for nominal ones, by the American Softwood Lumber Standard PS 20.

Read in a table that reproduces the standard (Engineering ToolBox, Softwood lumber standard), inches; the standard
itself was not. Dry is 19 % moisture content or less. The table is `data/softwood.csv`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from yieldopt.trade import tables

SOURCE = "Softwood (American Softwood Lumber Standard PS 20, reproduced by Engineering ToolBox, Softwood lumber standard)"

# Stock below this nominal thickness is a board, from it up dimension lumber (the two blocks of the table).
DIMENSION_FROM = Fraction(2)


@dataclass(frozen=True, slots=True)
class Dressed:
    """A dressed section in inches."""

    thickness: Fraction
    width: Fraction


def dressed(thickness: Fraction, width: Fraction, dry: bool = True) -> Dressed | None:
    """The least dressed size of nominal `thickness` by `width` (inches); None where the standard's table has none."""
    kind = "board" if thickness < DIMENSION_FROM else "dimension"
    moisture = "dry" if dry else "green"
    thick = _look_up("thickness", kind, thickness, moisture)
    wide = _look_up("width", kind, width, moisture)
    return None if thick is None or wide is None else Dressed(thick, wide)


def _look_up(measure: str, kind: str, nominal: Fraction, moisture: str) -> Fraction | None:
    for row in tables.rows("softwood.csv"):
        if row["measure"] == measure and row["class"] == kind and tables.inches(row["nominal"]) == nominal:
            return tables.inches(row[moisture])
    return None
