"""Paper, rows and scale: pure arithmetic, in points on paper and inches of wood."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

POINTS_PER_INCH = 72.0
# Wood shown twice where a board is broken into rows, inches on each side of the break.
OVERLAP = 1.0
# Drawings are reduced by a whole number, so that a rule laid on the sheet can be used.
LARGEST_SCALE, SMALLEST_SCALE = 2, 60


@dataclass(frozen=True, slots=True)
class Paper:
    """A page: width, height and margin in points; `height` None is a strip as long as it needs to be (a phone)."""

    name: str
    width: float
    height: float | None
    margin: float

    @property
    def turned(self) -> Paper:
        """The same paper lying the other way; a strip stays as it is."""
        return self if self.height is None else replace(self, width=self.height, height=self.width)

    @property
    def lying(self) -> Paper:
        """The same paper with its long side across."""
        return self if self.height is None or self.width >= self.height else self.turned

    @property
    def standing(self) -> Paper:
        """The same paper with its short side across."""
        return self if self.height is None or self.width <= self.height else self.turned

    @property
    def inner_width(self) -> float:
        return self.width - 2 * self.margin


# ANSI/ASME Y14.1: A-size sheet 8.5 x 11 in. ISO 216: A4 210 x 297 mm.
LETTER = Paper("letter", 612.0, 792.0, 24.0)
A4 = Paper("a4", 210 / 25.4 * 72, 297 / 25.4 * 72, 24.0)
# A narrow screen: its points are drawn one to a CSS pixel or larger, so lettering stays readable.
PHONE = Paper("phone", 366.0, None, 8.0)
PAPERS = {"letter": LETTER, "a4": A4}


@dataclass(frozen=True, slots=True)
class Row:
    """The stretch of a board shown in one row, inches from the datum end; breaks are where wood goes on."""

    start: float
    end: float
    broken_before: bool
    broken_after: bool


def rows_for(length: float, capacity: float, crosscuts: Sequence[float]) -> list[Row]:
    """Break `length` inches into rows of at most `capacity` inches, at a crosscut where one lies in the last third.

    Rows overlap by `OVERLAP` on each side of a break. Raises `ValueError` where a row can't show more than its overlaps.
    """
    # Rows end on a mark of the tape.
    capacity = capacity if length <= capacity else math.floor(capacity * 8) / 8
    if length <= capacity:
        return [Row(0.0, length, False, False)]
    if capacity <= 4 * OVERLAP:
        raise ValueError("the row is too short for this scale")
    rows: list[Row] = []
    start = 0.0
    while True:
        shown_from = max(0.0, start - (OVERLAP if rows else 0.0))
        if length - shown_from <= capacity:
            rows.append(Row(shown_from, length, bool(rows), False))
            return rows
        furthest = shown_from + capacity - OVERLAP
        inside = [c for c in crosscuts if start + 0.6 * (furthest - start) <= c <= furthest]
        stop = max(inside) if inside else furthest
        rows.append(Row(shown_from, min(length, stop + OVERLAP), bool(rows), True))
        start = stop


def scale_for(
    length: float,
    width: float,
    crosscuts: Sequence[float],
    room_along: float,
    room_down: float,
    overhead: float,
    most_rows: int = 4,
) -> tuple[int, list[Row]]:
    """The least reduction 1 : n at which the rows fit, with those rows.

    `length`, `width` of the board in inches; `room_along` and `room_down` points on paper; `overhead` points that each row
    needs beside the wood. The smallest scale is taken where nothing fits: rows then go on to further pages.
    """
    for n in range(LARGEST_SCALE, SMALLEST_SCALE + 1):
        points = POINTS_PER_INCH / n
        if room_along / points <= 4 * OVERLAP and length > room_along / points:
            continue
        rows = rows_for(length, room_along / points, crosscuts)
        if len(rows) <= most_rows and len(rows) * (width * points + overhead) <= room_down:
            return n, rows
    points = POINTS_PER_INCH / SMALLEST_SCALE
    return SMALLEST_SCALE, rows_for(length, room_along / points, crosscuts)
