"""The shop's own marks: cabinetmaker's triangle, face mark, grain arrow, numbered tags, broken ends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from yieldopt.drawing.page.lettering import ABOVE, BELOW, width_of
from yieldopt.drawing.page.primitives import Line, Mark, Point, Polygon, Rect, Text

GRAIN_BOX = (30.0, 8.0)
FACE_BOX = (10.0, 15.0)
# Beside the figures in a ring, in points.
RING_PAD = 4.2


def grain_arrow(x: float, y: float, along: bool = True, length: float = GRAIN_BOX[0]) -> list[Mark]:
    """A two-headed arrow along the grain in the box whose left top is (x, y)."""
    if along:
        m = y + GRAIN_BOX[1] / 2
        ends = ((x, m, 1), (x + length, m, -1))
        heads: list[Mark] = [
            Polygon(((ex + 5 * d, m - 2.5), (ex, m), (ex + 5 * d, m + 2.5)), 0.9, closed=False) for ex, m, d in ends
        ]
        return [Line(x, m, x + length, m, 0.9, role="grain"), *heads]
    m = x + GRAIN_BOX[1] / 2
    tips = ((y, 1), (y + length, -1))
    heads = [Polygon(((m - 2.5, ey + 5 * d), (m, ey), (m + 2.5, ey + 5 * d)), 0.9, closed=False) for ey, d in tips]
    return [Line(m, y, m, y + length, 0.9, role="grain"), *heads]


def face_mark(x: float, y: float) -> list[Mark]:
    """The loop written on the first true face; its tail runs to the edge to be trued next (down: the near edge)."""
    loop: tuple[Point, ...] = (
        (x + 8, y + 3),
        (x + 6, y),
        (x + 3, y),
        (x + 1, y + 2.5),
        (x + 2, y + 6),
        (x + 5, y + 7.5),
        (x + 8, y + 10),
        (x + 8, y + 13),
        (x + 5, y + 15),
    )
    return [Polygon(loop, 1.1, closed=False, role="face-mark")]


def triangle(x: float, y: float, width: float, height: float) -> list[Mark]:
    """The cabinetmaker's triangle over a whole set; it points to the top (or the far end) of the finished thing."""
    return [Polygon(((x, y + height), (x + width / 2, y), (x + width, y + height)), 1.4, role="triangle")]


def joint_letter(n: int) -> str:
    """What is chalked on both sides of joint or saw cut `n`, from 1: A, B, ..., then AA, AB. I and O are left out: they
    read as figures."""
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    out = ""
    while n:
        n, rest = divmod(n - 1, len(letters))
        out = letters[rest] + out
    return out


def tag(x: float, baseline: float, number: str, done: bool = False) -> tuple[list[Mark], float]:
    """A cut's number in a box, its left edge at `x`; returns the marks and the width. A done cut's box is struck out."""
    size = 9.0
    width = width_of(number, size, True) + 5
    top = baseline - ABOVE * size - 0.5
    height = (ABOVE + BELOW) * size
    marks: list[Mark] = [
        Rect(x, top, width, height, 0.9, fill=1.0, role="tag"),
        Text(x + 2.5, baseline, number, size, True, role="cut-number"),
    ]
    if done:
        marks.append(Line(x, top + height, x + width, top, 0.9, role="done"))
    return marks, width


def broken_end(x: float, top: float, bottom: float) -> list[Mark]:
    """A zigzag where a row breaks off and the board goes on."""
    points: list[Point] = []
    y, side, step = top - 3, 0, 7.0
    while y < bottom + 3:
        points.append((x + (2.2 if side else -2.2), y))
        y += step
        side = 1 - side
    points.append((x, bottom + 3))
    return [Polygon(tuple(points), 0.9, closed=False, role="break")]


def cross(x: float, y: float, width: float, height: float, weight: float = 0.9) -> list[Mark]:
    """Crossed out from corner to corner."""
    return [Line(x, y, x + width, y + height, weight), Line(x, y + height, x + width, y, weight)]


class Segment(NamedTuple):
    """A stretch of lettering; `ringed` puts the ring round it that numbers of the parts list wear."""

    text: str
    size: float
    bold: bool = False
    ringed: bool = False

    @property
    def width(self) -> float:
        return width_of(self.text, self.size, self.bold) + (2 * RING_PAD if self.ringed else 0)


def ring(x: float, baseline: float, text: str, size: float = 9.0, bold: bool = True) -> list[Mark]:
    """`text` in a ring whose left edge lies at `x`: the number of a line of the parts list, the same on lists, sheets and
    labels (cuts are numbered in boxes)."""
    width = width_of(text, size, bold)
    top, bottom = baseline - 0.86 * size, baseline + 0.14 * size
    radius, middle = (bottom - top) / 2, (top + bottom) / 2
    left, right = x + RING_PAD - 1.2, x + RING_PAD + width + 1.2
    turn = [math.pi * (0.5 + i / 6) for i in range(7)]
    reach = [(math.cos(a) * (RING_PAD - 1.7), -math.sin(a) * radius) for a in turn]
    points = [(left + dx, middle + dy) for dx, dy in reach] + [(right - dx, middle - dy) for dx, dy in reach]
    return [
        Polygon(tuple(points), 0.9, 1.0, role="ring"),
        Text(x + RING_PAD, baseline, text, size, bold, role="part-number"),
    ]


def block_size(lines: Sequence[Sequence[Segment]], gap: float = 6.0, leading: float = 1.16) -> tuple[float, float]:
    """Width and height of lines of lettering."""
    width = max(sum(s.width for s in line) + gap * (len(line) - 1) for line in lines)
    return width, sum(max(s.size for s in line) * leading for line in lines)


def block(
    x: float,
    y: float,
    lines: Sequence[Sequence[Segment]],
    role: str,
    data: tuple[tuple[str, str], ...] = (),
    gap: float = 6.0,
    leading: float = 1.16,
) -> list[Mark]:
    """Lay lines of lettering with their left top at (x, y)."""
    marks: list[Mark] = []
    for line in lines:
        tallest = max(s.size for s in line)
        base = y + tallest * ABOVE + tallest * (leading - ABOVE - BELOW) / 2
        at = x
        for s in line:
            if s.ringed:
                marks += ring(at, base, s.text, s.size, s.bold)
            else:
                marks.append(Text(at, base, s.text, s.size, s.bold, role=role, data=data))
            at += s.width + gap
        y += tallest * leading
    return marks
