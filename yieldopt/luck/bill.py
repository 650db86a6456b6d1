"""What a dealer asks for one board: tally, surcharges, surfacing."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from yieldopt.trade.tally import HalfRounder, counted_thickness, surface_measure
from yieldopt.wood.lumber import CUBIC_INCHES_PER_BOARD_FOOT, PriceLine, Shop


@dataclass(frozen=True, slots=True)
class Bill:
    """Board feet as the dealer counts them, and money: `wood` scales with the line's price, `surfacing` does not."""

    board_feet: Fraction
    wood: Fraction
    surfacing: Fraction

    @property
    def cost(self) -> Fraction:
        return self.wood + self.surfacing


def bill(line: PriceLine, length: Fraction, width: Fraction) -> Bill:
    """The bill for a board of `length` by `width` inches.

    `rounded`: surface measure to the nearest whole foot, width with its fraction, length in whole feet (see
    `trade.tally`); exactly half a foot goes up here, against the buyer. `exact`: the rectangle at nominal thickness,
    stock under an inch counting as an inch unless it is sold by the cubic metre. A board both wide and long pays both
    surcharges, added: common practice, no source.
    """
    thick = line.nominal if line.by_volume else counted_thickness(line.nominal)
    if line.tally == "rounded":
        feet = HalfRounder("up").round(surface_measure(width, length)) * thick
    else:
        feet = length * width * thick / CUBIC_INCHES_PER_BOARD_FOOT
    more = Fraction(0)
    if line.wide_over is not None and width > line.wide_over:
        more += line.wide_surcharge
    if line.long_over is not None and length > line.long_over:
        more += line.long_surcharge
    return Bill(feet, feet * line.price_bf * (1 + more), feet * line.surfacing_bf)


def bundle_rest(line: PriceLine, feet: float, shop: Shop) -> tuple[float, float]:
    """What the boards of a bundle cost that are bought beyond the `feet` needed, and what of it counts as kept.

    Nothing where nothing is needed or enough is bought anyway. The rest goes home as whole boards and is worth as much as
    a kept offcut.
    """
    if feet <= 0 or feet >= line.bundle_bf:
        return 0.0, 0.0
    cost = (float(line.bundle_bf) - feet) * float(line.price_bf + line.surfacing_bf)
    return cost, cost * float(shop.values.offcut_credit)
