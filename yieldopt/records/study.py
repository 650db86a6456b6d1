"""What `source.json` holds (format `yieldopt-source/1`): a study's findings as frozen records, which print, packet and list to
take along are made from.

Money in the job's, volumes in board feet, lengths in inches whatever the job's units, shares from 0 to 1: figures of a report.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any, Final, Literal

from pydantic import SerializerFunctionWrapHandler, WrapSerializer

from yieldopt.ground.jsonform import FORM, Number
from yieldopt.ground.lengths import Units
from yieldopt.records.purchase import By, Line, PurchaseFound

FORMAT: Final = "yieldopt-source/1"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsMissing:
    """So many of a part."""

    part: str
    qty: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodMissing:
    """Wood missing of one species and class, as boards of the dealers' ranges would make it up on average."""

    species: str
    quarters: str
    parts: tuple[str, ...] = ()
    pieces: int
    square_feet: Number
    boards: Number
    tally_board_feet: Number
    offered: bool
    why_not_offered: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spare:
    """Thickness to spare of layers: at best, as mostly, and where the board is stressed."""

    best: Number
    typical: Number
    stressed: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class WayFound:
    """One way to buy, means over its draws. Of the rack alone there are no more than `OF_THE_RACK`."""

    name: str
    net_cost: Number
    standard_error: Number | None = None
    board_feet_bought: Number
    boards: Number | None = None
    resaw_cuts: Number | None = None
    # Of plans only.
    rips: Number | None = None
    crosscuts: Number | None = None
    matched_pairs: Number | None = None
    kept_board_feet: Number | None = None
    cost_per_square_foot: Number | None = None
    resawn_layers: Number | None = None
    layers_too_thin_if_stressed: Number | None = None
    least_thickness_to_spare: Spare | None = None
    # None: the rack alone.
    draws: int | None = None
    incomplete_draws: int = 0
    by: By
    # Quick draws that planned figures were carried over to.
    carried_over_to: int = 0


OF_THE_RACK = ("name", "net_cost", "board_feet_bought", "by")


def _way(way: WayFound, dumped: SerializerFunctionWrapHandler) -> dict[str, Any]:
    body: dict[str, Any] = dumped(way)
    return body if way.draws is not None else {key: body[key] for key in OF_THE_RACK}


@dataclass(frozen=True, slots=True, kw_only=True)
class WayLine:
    """Net cost at a ratio r of prices is `fixed` + `thick` r / (the ratio today)."""

    way: str
    fixed: Number
    thick: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """Where the first two ways of `lines` cross."""

    standard_error: Number | None
    low: Number
    high: Number
    draws: int
    by: By
    carried_over_to: int = 0
    ratio_today: Number | None
    draws_that_agree: Number
    resawn: bool = True
    # The same by quick layouts.
    estimate: Number | None = None
    more_layers_if_tested: tuple[str, ...]
    sets_only_if_tested: tuple[str, ...]
    lines: tuple[WayLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MinutesWorth:
    """Minutes of a pass that eat its saving up, where an hour is worth so much."""

    hourly: Number
    minutes: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class ResawPass:
    """What one pass saves in wood; below 0: it costs wood."""

    saves: Number
    break_even_minutes: tuple[MinutesWorth, ...]
    # The maker's own, where told: minutes a pass, of all passes, and what they cost.
    minutes: Number | None = None
    total_minutes: Number | None = None
    labour_cost: Number | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchedSets:
    """What matching costs against the same parts unmatched."""

    cost: Number
    standard_error: Number | None = None
    pairs: Number = 0
    draws: int
    by: By
    carried_over_to: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeFound(Line):
    """A line for all parts that need no thicker class."""

    least_class: Number
    class_name: str = ""
    cost_per_square_foot: Number
    standard_error: Number | None = None
    clear_yield: Number
    parts: tuple[str, ...] = ()
    draws: int
    by: By


@dataclass(frozen=True, slots=True, kw_only=True)
class WideFound:
    """One option for a wide part; `cost` None: `why_not` says why it can't be had."""

    part: str
    way: str
    cost: Number | None
    standard_error: Number | None = None
    board_feet: Number = 0
    joints: int
    widest: Number = 0
    strip: Number
    strip_species: str
    rarity: Number = 1.0
    draws: int
    by: By
    why_not: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardTaken:
    board: str
    cost: Number
    board_feet: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class BundleMore(Line):
    """What a bundle holds beyond the boards that are wanted."""

    more_board_feet: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondBoard:
    """What to take, and leave, where a board is gone; `more` None: nothing was found."""

    gone: str
    without: tuple[str, ...]
    take: tuple[str, ...]
    more: Number | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What to take of the logged boards."""

    boards: tuple[BoardTaken, ...]
    to_pay: Number
    bound: Number | None
    bundles: tuple[BundleMore, ...] = ()
    unplaced: tuple[PartsMissing, ...] = ()
    second_choices: tuple[SecondBoard, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Either:
    """The choice with one of the boards held against each other, without the others."""

    board: str
    covers: bool
    to_pay: Number
    taken: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class IfTested:
    """Net cost of a way by quick layouts, as boards are and were the 8/4 tested and flat."""

    way: str
    unknown: Number
    tested: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyRecord:
    """The whole study."""

    format: Literal["yieldopt-source/1"] = FORMAT
    job: str
    # A study made before units were written down was in inches.
    units: Units = "in"
    seed: int = 0
    seconds: Number = 0
    # By hand, with what had been found.
    stopped: bool = False
    stress: str = "unknown"
    rack_has_enough: bool
    missing: tuple[PartsMissing, ...] = ()
    missing_wood: tuple[WoodMissing, ...]
    basis: str = ""
    not_offered: tuple[str, ...] = ()
    why_not_offered: Mapping[str, str] = field(default_factory=dict)
    ways: tuple[Annotated[WayFound, WrapSerializer(_way)], ...]
    break_even_ratio: Number | None
    break_even: BreakEven | None
    resaw_pass: ResawPass | None
    matched_pairs: MatchedSets | None
    grades: tuple[GradeFound, ...]
    purchase: PurchaseFound | None
    purchase_whole_job: PurchaseFound | None
    wide_parts: tuple[WideFound, ...]
    choice: Choice | None
    either: tuple[Either, ...] = ()
    if_all_tested: IfTested | None = None

    __pydantic_config__ = FORM
