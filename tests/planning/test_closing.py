"""Ways to close the gap: what brings more is taken more often, and none is left for long."""

from __future__ import annotations

from yieldopt.planning.ways import PATIENCE, Way


class Gap:
    """A gap that two ways close, each by so much a step."""

    def __init__(self, first: float, second: float) -> None:
        self.left = 1000.0
        self.steps = [0, 0]
        self.ways = [Way(self._closing(0, first), 1.0), Way(self._closing(1, second), 1.0)]

    def _closing(self, which: int, by: float):  # type: ignore[no-untyped-def]
        def work() -> None:
            self.left -= by
            self.steps[which] += 1

        return work

    def run(self, turns: int) -> list[int]:
        for turn in range(turns):
            max(self.ways, key=lambda w: w.promise(turn)).step(turn, lambda: self.left)
        return self.steps


def test_the_way_that_brings_more_is_taken_more_often() -> None:
    few, many = Gap(1.0, 5.0).run(60)
    assert many > 3 * few


def test_none_is_left_for_longer_than_the_patience() -> None:
    few, many = Gap(0.0, 5.0).run(60)
    assert few >= 60 // (PATIENCE + 2)
    assert few + many == 60


def test_a_step_of_twice_the_work_counts_half() -> None:
    gap = Gap(4.0, 3.0)
    gap.ways[0].weight = 2.0
    few, many = gap.run(60)
    assert many > few
