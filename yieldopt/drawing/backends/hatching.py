"""Hatching as plain strokes: parallel lines cut to a polygon, so that no back end needs patterns or clip paths."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from yieldopt.drawing.page.primitives import Hatch, Point

Segment = tuple[float, float, float, float]


@lru_cache(maxsize=8192)
def strokes(hatch: Hatch) -> tuple[Segment, ...]:
    """The strokes of a hatch, (x1, y1, x2, y2) each. Lines lie on one lattice for the whole page, so that neighbouring
    areas of one kind run on into each other. A polygon may be hollow, not self-crossing."""
    turn = math.radians(hatch.angle)
    c, s = math.cos(turn), math.sin(turn)
    # Along the stroke u, across it v (y is down, so anticlockwise on the page is a negative turn).
    turned = [(x * c - y * s, x * s + y * c) for x, y in hatch.points]
    low = min(v for _, v in turned)
    high = max(v for _, v in turned)
    out: list[Segment] = []
    for n in range(math.floor(low / hatch.gap) + 1, math.ceil(high / hatch.gap)):
        v = n * hatch.gap
        crossings = _crossings(turned, v)
        for a, b in zip(crossings[::2], crossings[1::2], strict=False):
            if b - a > 0.1:
                out.append((a * c + v * s, -a * s + v * c, b * c + v * s, -b * s + v * c))
    return tuple(out)


def _crossings(points: Sequence[Point], v: float) -> list[float]:
    found = []
    for (u0, v0), (u1, v1) in zip(points, [*points[1:], points[0]], strict=True):
        if (v0 <= v) != (v1 <= v):
            found.append(u0 + (v - v0) / (v1 - v0) * (u1 - u0))
    return sorted(found)
