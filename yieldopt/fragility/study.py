"""Many draws of one plan: its chance of finishing from the stock in hand, and the parts most likely to fail."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from yieldopt.deadline import Deadline
from yieldopt.fragility.play import Order, Outcome, effort_for, play
from yieldopt.fragility.rates import Rates
from yieldopt.lumber import Job
from yieldopt.plan import Plan
from yieldopt.replanning.noted import noted
from yieldopt.replanning.surprise import Surprise
from yieldopt.sourcing.chance import share_error

# Called after each draw: what is studied, draws made, draws wanted, of these finished.
Watcher = Callable[[str, int, int, int], None]


@dataclass(frozen=True)
class Candidate:
    """A plan, the order its boards are cut in, and how many of each part finish the job."""

    name: str
    job: Job
    plan: Plan
    need: Mapping[str, int]
    order: Order = "planned"


@dataclass(frozen=True)
class Chance:
    """What the draws of one candidate came to, draw by draw."""

    candidate: Candidate
    outcomes: tuple[Outcome, ...]

    @property
    def draws(self) -> int:
        return len(self.outcomes)

    @property
    def finished(self) -> int:
        return sum(o.finished for o in self.outcomes)

    @property
    def share(self) -> float:
        """Chance of finishing; 0 without draws."""
        return self.finished / self.draws if self.draws else 0.0

    @property
    def error(self) -> float:
        """Standard error of the chance."""
        return share_error(self.share, self.draws)

    @property
    def failing(self) -> Counter[str]:
        """Draws in which a part had no place in the end."""
        return Counter(part for o in self.outcomes for part in o.missing)

    @property
    def losing(self) -> Counter[str]:
        """Draws in which a piece of a part was lost on the way."""
        return Counter(part for o in self.outcomes for part in o.lost)

    def cost(self) -> float | None:
        """Mean net cost over the draws that finished."""
        costs = [o.cost for o in self.outcomes if o.finished]
        return sum(costs) / len(costs) if costs else None


def study(candidate: Candidate, rates: Rates, draws: int, seed: str, deadline: Deadline, watch: Watcher | None = None) -> Chance:
    """Play up to `draws` draws until the deadline; the same seed draws the same luck for every candidate."""
    outcomes: list[Outcome] = []
    notes = noted(candidate.plan, Surprise())
    effort = effort_for(candidate.job, candidate.plan)
    while len(outcomes) < draws and not deadline.over:
        draw = f"{seed}/{len(outcomes)}"
        outcomes.append(play(candidate.job, candidate.plan, candidate.need, candidate.order, rates, draw, notes, effort))
        if watch is not None:
            watch(candidate.name, len(outcomes), draws, sum(o.finished for o in outcomes))
    return Chance(candidate, tuple(outcomes))


def gain(better: Chance, than: Chance) -> tuple[float, float]:
    """How much likelier the one finishes than the other on the draws both had, with the standard error of paired draws."""
    pairs = [int(a.finished) - int(b.finished) for a, b in zip(better.outcomes, than.outcomes, strict=False)]
    n = len(pairs)
    if n < 2:
        return (float(sum(pairs)), 1.0)
    mean = sum(pairs) / n
    spread = sum((p - mean) ** 2 for p in pairs) / (n - 1)
    # Never nothing: as if one more draw had gone the other way.
    return mean, max((spread / n) ** 0.5, 1 / (n + 1))
