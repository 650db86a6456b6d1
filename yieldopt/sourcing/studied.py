"""What a study of a job has found: the results of its steps, as far as the time went."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.choice.choosing import Chosen
from yieldopt.sourcing.purchase.bought import Purchases
from yieldopt.sourcing.ways.grading import GradeRow
from yieldopt.sourcing.ways.outcome import Outcome
from yieldopt.sourcing.ways.question import Question
from yieldopt.sourcing.ways.quick_ways import Tested
from yieldopt.sourcing.ways.wide import Wide
from yieldopt.wood.lumber import Job


@dataclass(frozen=True)
class Picked:
    """The choice among logged boards; and of boards held against each other: board -> the choice without the others."""

    chosen: Chosen | None = None
    either: Mapping[str, Chosen] = field(default_factory=dict)


@dataclass(frozen=True)
class Study:
    """Everything found."""

    asked: Asked
    question: Question
    # Quick outcomes by way and draw; planned ones by (way, draw).
    quick: Sequence[Sequence[Outcome]] = ()
    planned: Mapping[tuple[int, int], Outcome] = field(default_factory=dict)
    # What tested 8/4 would change.
    if_all_tested: Tested | None = None
    picked: Picked = Picked()
    # None: the time did not reach them.
    purchases: Purchases | None = None
    grades: Sequence[GradeRow] = ()
    wide: Sequence[Wide] = ()
    seconds: float = 0.0
    # By hand, with what had been found.
    stopped: bool = False

    @property
    def job(self) -> Job:
        return self.question.job
