"""Courses to close the gap between cost and bound, taken in turn by what each has brought of late."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf

# How much the last step of a way counts beside those before, and the least share of the work that a way gets: what a step
# brings is a matter of chance, so that one which brought nothing says little.
FRESH = 0.2
LEAST = 0.3


@dataclass
class Course:
    """One way to close the gap, and what it has brought of late for its work."""

    work: Callable[[], None]
    # Money a unit of work, the last steps counting most.
    brought: float = 0.0
    # Work done so far, each unit the longer the less a way's share was then (stride scheduling).
    passed: float = 0.0


class Courses:
    """Two ways or more, of which `step` takes the one whose turn it is."""

    def __init__(self, ways: Sequence[Course], worked: Callable[[], float]) -> None:
        """The first goes first; `worked` is all work done so far."""
        self._ways, self._worked = ways, worked

    def step(self, able: Callable[[Course], bool], gap: Callable[[], float]) -> None:
        """Work a step of one of the ways that are `able`; `gap` is money between cost and bound."""
        ways = [w for w in self._ways if able(w)]
        way = min(ways, key=lambda w: w.passed)
        # One that comes in later, or again, has nothing to catch up on.
        for w in self._ways:
            w.passed = max(w.passed, way.passed)
        before, began = gap(), self._worked()
        way.work()
        work = self._worked() - began
        way.passed += work / self._share(way, ways)
        if before < inf and work > 0:
            way.brought = FRESH * (before - gap()) / work + (1 - FRESH) * way.brought

    @staticmethod
    def _share(way: Course, ways: Sequence[Course]) -> float:
        total = sum(w.brought for w in ways)
        return LEAST + (1 - len(ways) * LEAST) * (way.brought / total if total > 0 else 1 / len(ways))
