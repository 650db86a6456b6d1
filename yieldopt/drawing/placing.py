"""Finding room for lettering among what is already there."""

from __future__ import annotations

from collections.abc import Iterable

Box = tuple[float, float, float, float]


def overlap(a: Box, b: Box, gap: float = 0.0) -> bool:
    """Whether two (left, top, right, bottom) boxes come closer than `gap`."""
    return a[0] < b[2] + gap and b[0] < a[2] + gap and a[1] < b[3] + gap and b[1] < a[3] + gap


class Placer:
    """Remembers taken boxes on one page; `hard` ones may never be covered, `soft` ones (defects) only if need be."""

    def __init__(self) -> None:
        self.hard: list[Box] = []
        self.soft: list[Box] = []

    def take(self, box: Box) -> None:
        self.hard.append(box)

    def is_free(self, box: Box, gap: float = 1.0, mind_soft: bool = True) -> bool:
        return not any(overlap(box, other, gap) for other in self.hard) and not (
            mind_soft and any(overlap(box, other, gap) for other in self.soft)
        )

    def fit(self, area: Box, width: float, height: float, mind_soft: bool = True) -> tuple[float, float] | None:
        """The first free place (left, top) for a box of this size in `area`, from the left, then from the top."""
        left, top, right, bottom = area
        if width > right - left or height > bottom - top:
            return None
        for x in _steps(left, right - width, max(12.0, width / 4)):
            for y in _steps(top, bottom - height, 5.0):
                if self.is_free((x, y, x + width, y + height), mind_soft=mind_soft):
                    return x, y
        return None


def _steps(first: float, last: float, step: float) -> Iterable[float]:
    value = first
    while value < last:
        yield value
        value += step
    yield last
