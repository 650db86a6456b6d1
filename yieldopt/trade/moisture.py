"""Moisture: the moisture content wood comes to in air, and what a panel's width does when it changes.

Sources: Wood Handbook, FPL-GTR-190 (2010), chapter 13, and FPL-GTR-282 (2021), chapter 4 (USDA Forest Products
Laboratory). Moisture contents are percent of the ovendry weight; relative humidity is percent.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Literal

from yieldopt.ground.errors import UsageError
from yieldopt.trade.species import Wood

SawnWay = Literal["flat", "quarter"]

# Range over which the coefficients of Table 13-5 hold (FPL-GTR-190, p. 13-16).
COEFFICIENT_FROM, COEFFICIENT_TO = 6.0, 14.0
# Moisture content at which shrinkage is taken to start where no better figure is known (FPL-GTR-282, eq. 4-9).
SHRINKAGE_STARTS = 30.0

FORM = "eq. 13-3"

# Polynomials in degrees Fahrenheit, constant term first (Wood Handbook and Simpson 1973, as transcribed).
_W = (330.0, 0.452, 0.00415)
_K = (0.791, 0.000463, -0.000000844)
_K1 = (6.34, 0.000775, -0.0000935)
_K2 = (1.09, 0.0284, -0.0000904)


def equilibrium(relative_humidity: float, fahrenheit: float = 70.0) -> float:
    """Equilibrium moisture content in percent at `relative_humidity` percent and `fahrenheit` degrees.

    Hailwood-Horrobin form, Wood Handbook eq. 4-5 (FPL-GTR-282). Raises `UsageError` outside 0 <= humidity < 100 and
    30 to 140 degrees F, the range of the figures it was checked against.
    """
    if not 0 <= relative_humidity < 100:
        raise UsageError(f"relative humidity: found {relative_humidity:g} %, expected 0 to below 100")
    if not 30 <= fahrenheit <= 140:
        raise UsageError(f"temperature: found {fahrenheit:g} degrees F, expected 30 to 140")
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

    The copy read lacks the equation itself; its form is that of the same rule for log walls, shrinkage = D (MC_design -
    MC_service) / (MC_fsp 100 / S - MC_fsp + MC_design), printed with the text of the log structures standard at
    timbertoolbox.com. It agrees with Table 13-5: see the tests.
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
    # False where a figure was not read in print.
    verified: bool


def movement(wood: Wood, width: float, start: float, end: float, sawn: SawnWay = "flat") -> Movement:
    """Change of a panel's width across the grain from `start` to `end` percent moisture content.

    Flatsawn boards move by the tangential figure, quartersawn ones by the radial. Between 6 and 14 % the coefficient of
    Table 13-5 is used where it has one, outside that range eq. 13-3, one after the other where the change crosses into it, so
    that the answer never jumps. Real boards are rarely perfectly either, so the width change of a flatsawn panel
    tends to be overstated (p. 13-18). Raises `UsageError` for contents outside 0 to 30 %.
    """
    for value in (start, end):
        if not 0 <= value <= SHRINKAGE_STARTS:
            raise UsageError(f"moisture content: found {value:g} %, expected 0 to {SHRINKAGE_STARTS:g}")
    if not (math.isfinite(width) and width > 0):
        raise UsageError(f"width: found {width:g}, expected a width above zero")
    way = "tangential" if sawn == "flat" else "radial"
    coefficient = wood.figure(f"c_{way}")
    shrinkage = wood.figures[f"shrinkage_{way}"]
    limits = [m for m in (COEFFICIENT_FROM, COEFFICIENT_TO) if min(start, end) < m < max(start, end)]
    stops = [start, *sorted(limits, reverse=end < start), end]
    size, verified = width, True
    how: list[str] = []
    for a, b in itertools.pairwise(stops):
        inside = min(a, b) >= COEFFICIENT_FROM and max(a, b) <= COEFFICIENT_TO
        if coefficient is not None and inside:
            size += change_by_coefficient(size, float(coefficient.value), a, b)
            how.append(f"coefficient {float(coefficient.value):.5f} ({way}), {coefficient.source}, {coefficient.basis}")
            verified &= coefficient.verified
        else:
            size += change_by_shrinkage(size, float(shrinkage.value), a, b)
            how.append(f"{way} shrinkage {float(shrinkage.value):g} %, {shrinkage.source}, {shrinkage.basis}; {FORM}")
            verified &= shrinkage.verified
    return Movement(size - width, "; then ".join(dict.fromkeys(how)), verified)
