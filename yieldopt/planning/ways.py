"""Ways to close the gap between cost and bound, taken by what each has brought of late."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf

# How much the last step of a way counts beside those before, and turns after which each of weight 1 or less is tried again.
FRESH = 0.3
PATIENCE = 4


@dataclass
class Way:
    """One way to close the gap, and what it has brought of late for its work."""

    work: Callable[[], None]
    # Work of a step beside that of the others, roughly.
    weight: float
    # Money a unit of work, the last steps counting most.
    brought: float = inf
    last: int = -1

    def promise(self, turn: int) -> tuple[bool, float, int]:
        """Ways are taken by what they brought; none is left for long, for what it brings changes."""
        return (turn - self.last > PATIENCE * max(1.0, self.weight), self.brought, -self.last)

    def step(self, turn: int, gap: Callable[[], float]) -> None:
        before = gap()
        self.work()
        won = (before - gap()) / self.weight if before < inf else 0.0
        self.brought = won if self.brought == inf else FRESH * won + (1 - FRESH) * self.brought
        self.last = turn
