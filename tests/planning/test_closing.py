"""Courses to close the gap: what brings more is taken more often, and none gets less than its least share of the work."""

from __future__ import annotations

from yieldopt.planning.search.ways import Course, Courses
from yieldopt.planning.tuning import USUAL


class Gap:
    """A gap that two ways close, each by so much a step; a step of the first is `weight` work, one of the second 1."""

    def __init__(self, first: float, second: float, weight: float = 1.0) -> None:
        self.left = 1000.0
        self.steps = [0, 0]
        self.worked = 0.0
        self.each = [Course(self._closing(0, first, weight)), Course(self._closing(1, second, 1.0))]
        self.ways = Courses(self.each, lambda: self.worked)

    def _closing(self, which: int, by: float, weight: float):  # type: ignore[no-untyped-def]
        def work() -> None:
            self.left -= by
            self.steps[which] += 1
            self.worked += weight

        return work

    def run(self, turns: int) -> list[int]:
        for _ in range(turns):
            self.ways.step(lambda _: True, lambda: self.left)
        return self.steps


def test_the_way_that_brings_more_is_taken_more_often() -> None:
    few, many = Gap(1.0, 5.0).run(60)
    assert many > 1.3 * few


def test_one_that_brings_nothing_keeps_its_least_share() -> None:
    few, many = Gap(0.0, 5.0).run(60)
    assert USUAL.turns.least * 60 - 2 <= few < many
    assert few + many == 60


def test_a_step_of_twice_the_work_counts_half() -> None:
    few, many = Gap(4.0, 3.0, 2.0).run(60)
    assert many > few


def test_ways_that_bring_the_same_share_the_work() -> None:
    few, many = Gap(4.0, 2.0, 2.0).run(60)
    assert abs(2 * few - many) <= 3


def test_a_way_that_comes_in_late_has_nothing_to_catch_up_on() -> None:
    gap = Gap(2.0, 2.0)
    for _ in range(40):
        gap.ways.step(lambda way: way is gap.each[0], lambda: gap.left)
    before = gap.steps[0]
    gap.run(20)
    assert gap.steps[0] - before >= 8
