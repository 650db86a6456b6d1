"""A purchase in `source.json`: how much of which lines, what the figure is made of, bills, trips, budgets.

Units as in `study.py`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from yieldopt.ground.jsonform import Number

# What a figure rests on: the planner's own plans, or quick layouts.
By = Literal["plans", "estimate"]
Point = tuple[Number, Number]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line of the price sheets."""

    dealer: str
    species: str
    quarters: str
    grade: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureParts:
    """What an amount is made of, board feet: see `drawing.purchasewords`."""

    used: Number
    luck: Number
    surprises: Number
    planning: Number
    not_settled: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class Serves:
    part: str
    pieces: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastBoard:
    """What runs short first, and the least clear board that makes it up."""

    part: str
    width: Number
    length: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class LineBought(Line):
    """So much of one line, and boards about."""

    board_feet: Number
    boards: int
    board_feet_a_board: Number = 0
    money: Number = 0
    least_width: Number | None = None
    least_length: Number | None = None
    share_picked: Number = 1.0
    parts: tuple[Serves, ...] = ()
    # The part that took the last board most often.
    driver: str | None = None
    parts_of_the_figure: FigureParts | None = None
    if_short: LeastBoard | None = None
    # The line to take where the dealer has too little.
    else_from: Line | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    dealer: str
    wood: Number
    delivery: Number
    tax: Number
    total: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstTrip:
    board_feet: Number
    cost: Number
    chance: Number
    # By the place of the line in the sheets.
    boards: Mapping[str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoTrips:
    """A smaller first purchase, and what is fetched where it is too little."""

    first: FirstTrip
    second_trip_chance: Number
    second_board_feet: Number
    mean_board_feet: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAmount(Line):
    board_feet: Number
    boards: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """The surest purchase for so much money; None and no lines: it pays for none worth naming."""

    money: Number
    to_pay: Number
    board_feet: Number | None
    chance: Number | None
    lines: tuple[LineAmount, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherForm:
    """The same wood by the pack, or loose."""

    line: Line
    other: Line
    pack_board_feet: Number
    in_use_is_pack: bool
    outlay: Number
    other_outlay: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickAnswer:
    board_feet: Number
    chance: Number
    draws: int
    standard_error: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class FreshDraws:
    """Draws that had no part in choosing the purchase."""

    draws: int
    made: int
    lacking: int
    not_known: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ByPlans:
    """What plans say of the purchase."""

    draws: int
    chance: Number | None = None
    standard_error: Number | None = None
    not_settled: Number | None = None
    least_board_feet: Number | None = None
    # The search for less was not cut short.
    search_ended: bool = True
    fresh_draws: FreshDraws | None = None
    curve: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleOfThumb:
    board_feet: Number
    chance: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchaseFound:
    """How much to buy so that it is enough as often as asked. `accounts` None: the study was made before there were lists to
    take along."""

    board_feet: Number
    cost: Number = 0
    to_pay: Number = 0
    chance_asked: Number | None = None
    chance: Number
    standard_error: Number = 0
    not_settled: Number = 0.0
    draws: int
    by: By
    # Whether narrow and short boards are left with the dealer.
    picked: bool = False
    lines: tuple[LineBought, ...]
    parts_of_the_figure: FigureParts | None = None
    accounts: tuple[Bill, ...] | None = None
    two_trips: TwoTrips | None = None
    budget: Budget | None = None
    other_forms: tuple[OtherForm, ...] = ()
    quick_layouts: QuickAnswer | None = None
    confirmed_by_plans: ByPlans | None = None
    # Board feet and chance by quick layouts.
    curve: tuple[Point, ...] = ()
    rule_of_thumb: RuleOfThumb
