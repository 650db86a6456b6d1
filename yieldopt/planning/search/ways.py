"""Courses to close the gap between cost and bound, taken in turn by what each has brought of late."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf

from yieldopt.planning.tuning import USUAL, Turns


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

    def __init__(self, ways: Sequence[Course], worked: Callable[[], float], tuned: Turns = USUAL.turns) -> None:
        """The first goes first; `worked` is all work done so far."""
        self._ways, self._worked, self._tuned = ways, worked, tuned

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
            fresh = self._tuned.fresh
            way.brought = fresh * (before - gap()) / work + (1 - fresh) * way.brought

    def _share(self, way: Course, ways: Sequence[Course]) -> float:
        total, least = sum(w.brought for w in ways), self._tuned.least
        return least + (1 - len(ways) * least) * (way.brought / total if total > 0 else 1 / len(ways))
