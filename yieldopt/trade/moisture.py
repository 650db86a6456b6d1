"""Moisture: the moisture content wood comes to in air, and what a panel's width does when it changes.

Sources: Wood Handbook, FPL-GTR-190 (2010), chapter 13, and FPL-GTR-282 (2021), chapter 4 (USDA Forest Products
Laboratory). Moisture contents are percent of the ovendry weight; relative humidity is percent.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from yieldopt.errors import UsageError
from yieldopt.lumber import Board
from yieldopt.trade.species import Wood

SawnWay = Literal["flat", "quarter"]

# Range over which the coefficients of Table 13-5 hold (FPL-GTR-190, p. 13-16).
COEFFICIENT_FROM, COEFFICIENT_TO = 6.0, 14.0
# Moisture content at which shrinkage is taken to start where no better figure is known (FPL-GTR-282, eq. 4-9).
SHRINKAGE_STARTS = 30.0
# Lumber for furniture, cabinets and millwork is normally dried to this range (FPL-GTR-190, p. 13-14).
FURNITURE_DRY = (6.0, 8.0)
# Readings in one glue-up should lie this close together, in points: common practice, no source.
GLUE_UP_SPREAD = 2.0

# Polynomials in degrees Fahrenheit, constant term first (Wood Handbook and Simpson 1973, as transcribed).
_W = (330.0, 0.452, 0.00415)
_K = (0.791, 0.000463, -0.000000844)
_K1 = (6.34, 0.000775, -0.0000935)
_K2 = (1.09, 0.0284, -0.0000904)


def equilibrium(relative_humidity: float, fahrenheit: float = 70.0) -> float:
    """Equilibrium moisture content in percent at `relative_humidity` percent and `fahrenheit` degrees.

    Hailwood-Horrobin form, Wood Handbook eq. 4-5 (FPL-GTR-282). Raises `UsageError` outside 0 <= humidity < 100 and
    30 to 130 degrees F, the range of the table it was checked against.
    """
    if not 0 <= relative_humidity < 100:
        raise UsageError(f"relative humidity: found {relative_humidity:g} %, expected 0 to below 100")
    if not 30 <= fahrenheit <= 130:
        raise UsageError(f"temperature: found {fahrenheit:g} degrees F, expected 30 to 130")
    w, k, k1, k2 = (a + b * fahrenheit + c * fahrenheit**2 for a, b, c in (_W, _K, _K1, _K2))
    kh = k * relative_humidity / 100
    return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2))


def shrunk_from_green(total_percent: float, moisture: float) -> float:
    """Percent shrinkage from green down to `moisture` percent, for a total shrinkage to ovendry (FPL-GTR-282, eq. 4-9)."""
    return total_percent * (1 - min(moisture, SHRINKAGE_STARTS) / SHRINKAGE_STARTS)


def change_by_coefficient(size: float, coefficient: float, start: float, end: float) -> float:
    """Change of `size` from `start` to `end` percent, same unit as `size`, positive for swelling (eq. 13-2, p. 13-16)."""
    return size * coefficient * (end - start)


def change_by_shrinkage(size: float, total_percent: float, start: float, end: float) -> float:
    """The same from total shrinkage to ovendry, for moisture contents from 0 to 30 percent (eq. 13-3, p. 13-18).

    The text round the equation was read; its form is from memory. It agrees with Table 13-5: see the tests.
    """
    start, end = min(start, SHRINKAGE_STARTS), min(end, SHRINKAGE_STARTS)
    return size * (end - start) / (SHRINKAGE_STARTS * 100 / total_percent - SHRINKAGE_STARTS + start)


@dataclass(frozen=True, slots=True)
class Movement:
    """What a width does between two moisture contents."""

    # Positive for swelling; the unit of the width given.
    change: float
    # How it was worked out, with the figure used and its source.
    how: str
    # False where the figure, or the equation's form, was not read in print.
    verified: bool


def movement(wood: Wood, width: float, start: float, end: float, sawn: SawnWay = "flat") -> Movement:
    """Change of a panel's width across the grain from `start` to `end` percent moisture content.

    Flatsawn boards move by the tangential figure, quartersawn ones by the radial. Between 6 and 14 % the coefficient of
    Table 13-5 is used, else eq. 13-3. Real boards are rarely perfectly either, so the width change of a flatsawn panel
    tends to be overstated (p. 13-18). Raises `UsageError` for contents outside 0 to 30 % or a wood without figures.
    """
    for value in (start, end):
        if not 0 <= value <= SHRINKAGE_STARTS:
            raise UsageError(f"moisture content: found {value:g} %, expected 0 to {SHRINKAGE_STARTS:g}")
    if not (math.isfinite(width) and width > 0):
        raise UsageError(f"width: found {width:g}, expected a width above zero")
    way = "tangential" if sawn == "flat" else "radial"
    coefficient = wood.figure(f"c_{way}")
    shrinkage = wood.figure(f"shrinkage_{way}")
    inside = min(start, end) >= COEFFICIENT_FROM and max(start, end) <= COEFFICIENT_TO
    if coefficient is not None and inside:
        change = change_by_coefficient(width, float(coefficient.value), start, end)
        how = f"coefficient {float(coefficient.value):.5f} ({way}), {coefficient.source}, {coefficient.basis}"
        return Movement(change, how, coefficient.verified)
    if shrinkage is None:
        raise UsageError(f"{wood.common}: the table has no {way} shrinkage")
    change = change_by_shrinkage(width, float(shrinkage.value), start, end)
    how = f"{way} shrinkage {float(shrinkage.value):g} %, {shrinkage.source}, {shrinkage.basis}; eq. 13-3, its form from memory"
    return Movement(change, how, False)


@dataclass(frozen=True, slots=True)
class MoistureWarning:
    """Something to look into before boards are glued together."""

    kind: Literal["spread", "no reading", "unreadable", "not furniture-dry"]
    boards: tuple[str, ...]
    text: str

    def __str__(self) -> str:
        return self.text


def reading(board: Board) -> float | None:
    """The moisture reading in a board's `moisture` column in percent; None where empty. Raises `ValueError` if no number."""
    text = board.notes.get("moisture", "").strip()
    if not text:
        return None
    m = re.fullmatch(r"(\d{1,3}(?:[.,]\d{1,3})?)\s*(?:%|percent)?", text)
    if m is None or not float(m[1].replace(",", ".")) <= 200:
        raise ValueError(text)
    return float(m[1].replace(",", "."))


def moisture_warnings(boards: Iterable[Board], most: float = GLUE_UP_SPREAD) -> tuple[MoistureWarning, ...]:
    """What the readings of the boards of one glue-up say against gluing them together now.

    Warns where readings lie more than `most` points apart (default: common practice, no source), where some boards have
    a reading and others none, where a reading is no number, and where one lies outside 6 to 8 % (FPL-GTR-190, p. 13-14).
    """
    readings: dict[str, float] = {}
    missing: list[str] = []
    warnings: list[MoistureWarning] = []
    for board in {b.name: b for b in boards}.values():
        try:
            value = reading(board)
        except ValueError as error:
            text = f"{board.name}: moisture reading {str(error)[:40]!r} is not a percentage"
            warnings.append(MoistureWarning("unreadable", (board.name,), text))
            continue
        if value is None:
            missing.append(board.name)
        else:
            readings[board.name] = value
    if readings and missing:
        text = f"no moisture reading for {', '.join(missing)}, though the others have one"
        warnings.append(MoistureWarning("no reading", tuple(missing), text))
    if readings:
        dry, wet = min(readings, key=readings.__getitem__), max(readings, key=readings.__getitem__)
        spread = Fraction(str(readings[wet])) - Fraction(str(readings[dry]))
        if spread > Fraction(str(most)):
            text = (
                f"{dry} reads {readings[dry]:g} % and {wet} {readings[wet]:g} %: {float(spread):g} points apart, more than "
                f"{most:g} (common practice); let them come to the same moisture content before gluing"
            )
            warnings.append(MoistureWarning("spread", (dry, wet), text))
    low, high = FURNITURE_DRY
    off = tuple(name for name, value in readings.items() if not low <= value <= high)
    if off:
        listed = ", ".join(f"{n} {readings[n]:g} %" for n in off)
        text = f"outside the {low:g} to {high:g} % that furniture lumber is normally dried to: {listed}"
        warnings.append(MoistureWarning("not furniture-dry", off, text))
    return tuple(warnings)
