"""Finding room for lettering among what is already there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

Box = tuple[float, float, float, float]

# Nothing is set closer to anything than this, in points.
GAP = 1.0


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

    def has_soft(self, area: Box) -> bool:
        """Whether any soft box lies in or close to the area."""
        return any(overlap(b, area, GAP) for b in self.soft)

    def fit(self, area: Box, width: float, height: float, mind_soft: bool = True) -> tuple[float, float] | None:
        """The first free place (left, top) for a box of this size in `area`, from the left, then from the top."""
        left, top, right, bottom = area
        if width > right - left or height > bottom - top:
            return None
        taken = [*self.hard, *self.soft] if mind_soft else self.hard
        near = [b for b in taken if overlap(b, area, GAP)]
        last = right - width
        beside = [b[2] + GAP for b in near if left < b[2] + GAP <= last]
        for x in sorted({*_steps(left, last, max(12.0, width / 4)), *beside}):
            column = [b for b in near if b[0] < x + width + GAP and x < b[2] + GAP]
            y = _free(column, top, bottom - height, height)
            if y is not None:
                return x, y
        return None


def _free(column: Sequence[Box], top: float, last: float, height: float) -> float | None:
    """The highest `y` from `top` to `last` at which a box of this height is clear of all boxes in the column."""
    y = top
    for b in sorted(column, key=lambda b: b[1]):
        if y + height + GAP <= b[1]:
            break
        y = max(y, b[3] + GAP)
    return y if y <= last else None


def _steps(first: float, last: float, step: float) -> Iterable[float]:
    value = first
    while value < last:
        yield value
        value += step
    yield last
