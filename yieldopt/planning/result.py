"""What a planning run returns, and what it tells those who watch it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from yieldopt.wood.plan import Plan


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a run stands: seconds since it began and left, best net cost, proven bound, what it is at."""

    seconds: float
    left: float
    # None until all parts are placed.
    cost: float | None
    bound: float | None
    missing: int
    doing: str
    # Makes the plan as it stands, unchecked and without reasons; takes a moment.
    sketch: Callable[[], Plan] | None = field(default=None, compare=False, repr=False)

    @property
    def gap(self) -> float | None:
        """Share of the cost that the bound leaves open; None where that has no meaning."""
        if self.cost is None or self.bound is None or self.cost <= 0:
            return None
        return max(0.0, (self.cost - self.bound) / self.cost)


Observer = Callable[[Progress], None]


@dataclass(frozen=True)
class Result:
    """The best plan found and how the run went."""

    plan: Plan
    # Each improvement of cost or bound, in order.
    history: tuple[Progress, ...]
    # Why the run ended: "optimal", "gap", "time", "steps", "stopped".
    ended: str
