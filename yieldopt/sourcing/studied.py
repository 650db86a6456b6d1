"""What a study of a job has found so far, filled step by step."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from yieldopt.lumber import Job
from yieldopt.plan import Plan
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.choosing import Chosen
from yieldopt.sourcing.confirm import Confirmed
from yieldopt.sourcing.grading import GradeRow
from yieldopt.sourcing.outcome import Outcome
from yieldopt.sourcing.purchase import Basis, Needs, Purchase
from yieldopt.sourcing.shortfall import Shortfall
from yieldopt.sourcing.ways import Way
from yieldopt.sourcing.wide import Wide

# Names of the ways.
THIN_NAME, THICK_NAME, BOTH_NAME = "thin stock, one layer", "8/4, resawn", "both on offer"
LOOSE_NAME = "thin stock, pairs not matched"


@dataclass
class Bought:
    """A purchase for one basis: what has to be made, how much for it, how the rule of thumb compares."""

    basis: Basis
    purchase: Purchase | None
    needs: Needs
    thumb: dict[int, float]
    thumb_chance: float
    confirmed: Confirmed | None = None


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
    not_offered: list[str] = field(default_factory=list)
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
    # What to add to the rack; and, where the rack has enough, what the whole job would take.
    bought: Bought | None = None
    bought_whole: Bought | None = None
    chosen: Chosen | None = None
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
