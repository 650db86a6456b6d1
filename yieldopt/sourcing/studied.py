"""What a study of a job has found so far, filled step by step."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from yieldopt.lumber import Job
from yieldopt.plan import Plan
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.choosing import Chosen
from yieldopt.sourcing.confirm import Confirmed
from yieldopt.sourcing.grading import GradeRow
from yieldopt.sourcing.market import Market
from yieldopt.sourcing.needs import Basis, Needs
from yieldopt.sourcing.outcome import Outcome
from yieldopt.sourcing.picking import Pick
from yieldopt.sourcing.purchase import Purchase, as_bought
from yieldopt.sourcing.shortfall import Shortfall
from yieldopt.sourcing.ways import Way
from yieldopt.sourcing.wide import Wide

# Names of the ways.
THIN_NAME, THICK_NAME, BOTH_NAME = "thin stock, one layer", "8/4, resawn", "both on offer"
LOOSE_NAME = "thin stock, pairs not matched"


@dataclass(frozen=True)
class Tested:
    """Mean net cost of a way by quick layouts, boards of unknown stress and tested ones."""

    way: str
    unknown: float
    tested: float

    @property
    def matters(self) -> bool:
        """Whether it changes the answer by a third."""
        return self.tested <= (1 - A_THIRD) * self.unknown


A_THIRD = 1 / 3


@dataclass
class Bought:
    """A purchase for one basis: what has to be made, how much for it, how the rule of thumb compares."""

    basis: Basis
    purchase: Purchase | None
    needs: Needs
    thumb: dict[int, float]
    thumb_chance: float
    # The lines as boards are picked from them, the picks, and the needs of the same draws without hidden flaws.
    market: Market
    picks: Mapping[int, Pick]
    plain: Needs
    confirmed: Confirmed | None = None

    @property
    def planned(self) -> bool:
        """Whether the purchase that is told is the planner's."""
        return self.confirmed is not None and self.confirmed.stock is not None

    @property
    def told(self) -> Purchase | None:
        """What to buy: by plans where they found a stock that suffices often enough, else by quick layouts."""
        c = self.confirmed
        if c is None or c.stock is None or c.share is None:
            return self.purchase
        found = as_bought(self.needs, c.stock, self.market)
        return replace(found, chance=c.share.made, error=c.share.error, draws=c.share.draws)

    @property
    def least(self) -> Mapping[int, float]:
        """Board feet by line that would do were every unsettled trial a success."""
        c = self.confirmed
        if c is None or c.if_settled is None:
            return {}
        return as_bought(self.needs, c.if_settled, self.market).feet


@dataclass
class Study:
    """Everything found, filled step by step, so that a stop leaves what there is."""

    job: Job
    asked: Asked
    # The plan on the rack alone; None with an empty rack.
    rack: Plan | None = None
    # Parts still missing with the rack used up; empty: the rack has enough.
    missing: dict[str, int] = field(default_factory=dict)
    shortfalls: list[Shortfall] = field(default_factory=list)
    # Whether the ways are for the missing parts, or for the whole job as if all were bought: where nothing is missing, and
    # where nothing that is missing could come from thin stock and from 8/4.
    whole_job: bool = False
    grades: list[GradeRow] = field(default_factory=list)
    wide: list[Wide] = field(default_factory=list)
    # Parts to be made that no line of the sheets makes, and why; parts of the rack's plan that could not be bought again.
    not_offered: dict[str, str] = field(default_factory=dict)
    not_replaced: list[str] = field(default_factory=list)
    ways: list[Way] = field(default_factory=list)
    # Quick outcomes by way and draw; planned ones by (way, draw).
    quick: list[list[Outcome]] = field(default_factory=list)
    planned: dict[tuple[int, int], Outcome] = field(default_factory=dict)
    # Price of 8/4 over that of thin stock, per board foot, today; None where there are not both.
    ratio_today: float | None = None
    # Parts that give more layers from 8/4 where it is tested and flat, and matched sets that come out only of such.
    if_tested: list[str] = field(default_factory=list)
    sets_if_tested: list[str] = field(default_factory=list)
    # Whether "8/4, resawn" resaws anything.
    resaws: bool = False
    # Line by part.
    purchase_lines: Mapping[str, int] = field(default_factory=dict)
    # The least sizes to pick, by line.
    picks: Mapping[int, Pick] = field(default_factory=dict)
    # What to add to the rack; and, where the rack has enough, what the whole job would take.
    bought: Bought | None = None
    bought_whole: Bought | None = None
    chosen: Chosen | None = None
    # Of boards held against each other: board -> the choice without the others; and what tested 8/4 would change.
    either: dict[str, Chosen] = field(default_factory=dict)
    if_all_tested: Tested | None = None
    seconds: float = 0.0
    stopped: bool = False

    @property
    def area(self) -> float:
        """Finished face area of what the ways are to make, square feet."""
        counts = self.counts
        return (
            sum(float(p.length * p.width) * counts.get(p.name, 0) for p in self.job.parts if p.name not in self.not_offered) / 144
        )

    @property
    def counts(self) -> dict[str, int]:
        return {p.name: p.qty for p in self.job.parts} if self.whole_job else self.missing
