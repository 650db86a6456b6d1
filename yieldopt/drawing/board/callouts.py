"""Names that found no room on their piece: below the row, each with a line up to the wood it is about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from yieldopt.drawing.board.rowdims import levels_of
from yieldopt.drawing.board.rowframe import RowFrame
from yieldopt.drawing.page.marks import Segment, block, block_size
from yieldopt.drawing.page.placing import Box, overlap
from yieldopt.drawing.page.primitives import Line, Rect

LEVEL = 13.0
# A pointer keeps this far from lettering, and the dot on its end is this wide.
CLEAR, DOT = 1.5, 2.6


@dataclass(frozen=True, slots=True)
class Callout:
    """One name to be put below the row: `box` is its wood on the page, `key` what it names."""

    box: Box
    segments: tuple[Segment, ...]
    keys: tuple[str, ...]


def draw_callouts(f: RowFrame, callouts: Sequence[Callout], lettered: Sequence[Box], limit: float) -> tuple[set[str], float]:
    """Lay down those that find a way; returns what they name, and the height they take below the row. No more than `limit`
    points are used; nothing is led through lettering or past the row's right end."""
    placed: list[tuple[float, Callout, float]] = []
    ways: list[Box] = []
    for c in sorted(callouts, key=lambda c: (c.box[0], c.box[1])):
        width = block_size([c.segments])[0]
        x = _way(f, c, [*lettered, *ways], width)
        if x is not None:
            ways.append((x - 2 * CLEAR, c.box[1], x + 2 * CLEAR, f.bottom))
            placed.append((x, c, width))
    placed.sort(key=lambda p: p[0])
    levels = levels_of([(x, width + 8) for x, _, width in placed])
    named: set[str] = set()
    deepest = 0
    for (x, c, _), level in zip(placed, levels, strict=True):
        if (level + 1) * LEVEL > limit:
            continue
        y = f.bottom + 4 + level * LEVEL
        dot = (c.box[1] + c.box[3]) / 2
        f.page.add(
            Line(x, dot, x, y + 7, 0.6, role="pointer"),
            Rect(x - DOT / 2, dot - DOT / 2, DOT, DOT, 0, 0.0),
            *block(x + 3, y, [c.segments], "callout", (("name", c.keys[0]),)),
        )
        named.update(c.keys)
        deepest = max(deepest, level + 1)
    return named, deepest * LEVEL + (3 if deepest else 0)


def _way(f: RowFrame, c: Callout, taken: Sequence[Box], width: float) -> float | None:
    """Where a pointer may run down from the wood to below the row."""
    left, top, right, bottom = c.box
    middle = (top + bottom) / 2
    steps = 60
    for n in range(steps + 1):
        # From a third of the way along, then to both sides.
        share = (0.33 + (n + 1) // 2 / steps * (1 if n % 2 else -1)) % 1.0
        x = left + 2 + share * max(right - left - 4, 0)
        if x + width + 3 > f.right + 12:
            continue
        way = (x - CLEAR, middle - DOT, x + CLEAR, f.bottom)
        if not any(overlap(way, box) for box in taken):
            return x
    return None
