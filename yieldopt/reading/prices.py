"""Dealers' price sheets."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Literal

from yieldopt.ground.errors import Problem
from yieldopt.ground.lengths import Units
from yieldopt.reading.columns import PRICES
from yieldopt.reading.fields import Fields
from yieldopt.reading.limits import MAX_MONEY
from yieldopt.reading.tables import find_table
from yieldopt.wood.lumber import BOARD_FEET_PER_CUBIC_METRE, PriceLine

TALLY: tuple[Literal["exact", "rounded"], ...] = ("exact", "rounded")
# A surcharge may exceed the price itself, within reason.
MOST_SURCHARGE = 10


def prices_in(folder: Path, units: Units, problems: list[Problem]) -> tuple[PriceLine, ...]:
    """The lines of `prices.csv`, in order; faulty ones are left out and noted."""
    table = find_table(folder, PRICES, problems, needed=False)
    lines: list[PriceLine] = []
    for row in table.each(problems) if table else ():
        f = Fields(table.file if table else "", row.number, row.cells, units, problems)
        quarters, nominal = f.quarters()
        by_volume = f.given("price_m3")
        price, surfacing = _a_foot(f, "price"), _a_foot(f, "surfacing")
        if not by_volume and not f.given("price_bf"):
            f.refuse("price_bf", None, f"an amount from 0 to {MAX_MONEY} such as 14.50, or one a cubic metre in price_m3")
        shortest, longest = f.maybe_length("min_length", above=None, least=0), f.maybe_length("max_length")
        narrowest, widest = f.maybe_length("min_width", above=None, least=0), f.maybe_length("max_width")
        for which, low, high in (("length", shortest, longest), ("width", narrowest, widest)):
            if low is not None and high is not None and low > high:
                f.refuse(f"max_{which}", row.cells[f"max_{which}"], f"at least min_{which} {row.cells[f'min_{which}']}")
        over = {which: f.maybe_length(f"{which}_over") for which in ("wide", "long")}
        charge = {which: f.share(f"{which}_surcharge", Fraction(0), MOST_SURCHARGE) for which in ("wide", "long")}
        for which in ("wide", "long"):
            if charge[which] and over[which] is None and not f.given(f"{which}_over"):
                f.refuse(f"{which}_over", None, f"the size from which {which}_surcharge applies")
        line = PriceLine(
            f.name("dealer"),
            f.species(),
            quarters,
            nominal,
            f.name("grade", needed=False),
            price,
            shortest,
            longest,
            narrowest,
            widest,
            over["wide"],
            charge["wide"],
            over["long"],
            charge["long"],
            _tally(f, by_volume),
            surfacing,
            _bundle(f),
            row.notes,
            by_volume,
        )
        if f.ok:
            lines.append(line)
    return tuple(lines)


def _a_foot(f: Fields, what: str) -> Fraction:
    """An amount a board foot, or one a cubic metre brought to the board foot; 0 where neither is given."""
    feet, metres = f.money(f"{what}_bf"), f.money(f"{what}_m3")
    if feet is not None and metres is not None:
        f.refuse(f"{what}_m3", f.cells[f"{what}_m3"], f"one of {what}_bf and {what}_m3")
    return feet or (metres or Fraction(0)) / BOARD_FEET_PER_CUBIC_METRE


def _bundle(f: Fields) -> Fraction:
    """The least quantity in board feet, which may be given in cubic metres."""
    feet, metres = f.money("bundle_bf"), f.money("bundle_m3")
    if feet is not None and metres is not None:
        f.refuse("bundle_m3", f.cells["bundle_m3"], "one of bundle_bf and bundle_m3")
    return feet or (metres or Fraction(0)) * BOARD_FEET_PER_CUBIC_METRE


def _tally(f: Fields, by_volume: bool) -> Literal["exact", "rounded"]:
    tally = f.choice("tally", TALLY, "exact")
    if by_volume and tally == "rounded":
        f.refuse("tally", tally, "exact where the price is a cubic metre: rounded surface measure is counted in board feet")
    return tally
