"""The shop's own marks: cabinetmaker's triangle, face mark, grain arrow, numbered tags, broken ends."""

from __future__ import annotations

from collections.abc import Sequence

from yieldopt.drawing.lettering import ABOVE, BELOW, width_of
from yieldopt.drawing.primitives import Line, Mark, Point, Polygon, Rect, Text

GRAIN_BOX = (30.0, 8.0)
FACE_BOX = (10.0, 15.0)


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


Segment = tuple[str, float, bool]


def block_size(lines: Sequence[Sequence[Segment]], gap: float = 6.0, leading: float = 1.16) -> tuple[float, float]:
    """Width and height of lines of lettering, each a row of (text, size, bold)."""
    width = max(sum(width_of(t, s, b) for t, s, b in line) + gap * (len(line) - 1) for line in lines)
    return width, sum(max(s for _, s, _ in line) * leading for line in lines)


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
        tallest = max(s for _, s, _ in line)
        base = y + tallest * ABOVE + tallest * (leading - ABOVE - BELOW) / 2
        at = x
        for text, size, bold in line:
            marks.append(Text(at, base, text, size, bold, role=role, data=data))
            at += width_of(text, size, bold) + gap
        y += tallest * leading
    return marks
