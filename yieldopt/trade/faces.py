"""What the grading rules count against a face of a board, and how much of the face is clear of it."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from fractions import Fraction
from typing import Literal

from yieldopt.wood.lumber import UNSOUND_KINDS, Board, Defect
from yieldopt.wood.rectangles import Rect

Side = Literal["A", "B"]
SIDES: tuple[Side, Side] = ("A", "B")

# Kinds that grading does not count: sapwood, mineral streak and gum (sapeleoutlet.com, Hardwood lumber grades explained,
# part 3; Timber Trades Journal, Grading guidance, 2008, for gum and sapwood in cherry).
NOT_COUNTED = frozenset({"sapwood", "streak"})
# Holes smaller than this are admitted in sound cuttings (NHLA Rules Corner, par. 31). A logged rectangle can't tell how
# many holes it holds, so only a rectangle that is itself smaller passes.
SMALL_HOLE = Fraction(1, 4)


def rect_of(defect: Defect) -> Rect:
    """The rectangle a defect was logged as."""
    return Rect(defect.x, defect.y, defect.length, defect.width)


def other(side: Side) -> Side:
    """The face on the other side."""
    return "B" if side == "A" else "A"


def seen_from(board: Board, side: Side) -> tuple[Defect, ...]:
    """The defects that show on a face."""
    return tuple(d for d in board.defects if d.seen_on in (side, "both"))


def not_clear(board: Board, side: Side) -> tuple[Rect, ...]:
    """What no clear-face cutting may hold on that face."""
    return tuple(rect_of(d) for d in seen_from(board, side) if d.kind not in NOT_COUNTED)


def not_sound(board: Board, side: Side) -> tuple[Rect, ...]:
    """What no sound cutting may hold on that face; season checks count as unsound here, to be cautious."""
    return tuple(
        rect_of(d)
        for d in seen_from(board, side)
        if d.kind in UNSOUND_KINDS and not (d.kind == "worm" and max(d.length, d.width) < SMALL_HOLE)
    )


def union_area(rects: Iterable[Rect], x0: Fraction, x1: Fraction) -> Fraction:
    """Area covered by `rects` between `x0` and `x1`, overlaps counted once; square inches."""
    spans = [(max(r.x, x0), min(r.x + r.length, x1), r.y, r.y + r.width) for r in rects]
    spans = [s for s in spans if s[0] < s[1]]
    xs = sorted({x for s in spans for x in s[:2]})
    total = Fraction(0)
    for a, b in itertools.pairwise(xs):
        reach: Fraction | None = None
        for low, high in sorted((s[2], s[3]) for s in spans if s[0] <= a and b <= s[1]):
            start = low if reach is None else max(low, reach)
            if high > start:
                total += (b - a) * (high - start)
            reach = high if reach is None else max(reach, high)
    return total


def outline_area(board: Board, x0: Fraction, x1: Fraction) -> Fraction:
    """Area of the board's outline between `x0` and `x1`, square inches."""
    xs = [x0, *(p.x for p in board.outline if x0 < p.x < x1), x1]
    widths = [far - near for near, far in (board.channel(x, x) for x in xs)]
    return sum(((b - a) * (v + w) / 2 for a, b, v, w in zip(xs, xs[1:], widths, widths[1:], strict=False)), Fraction(0))


def clear_share(board: Board, side: Side) -> Fraction:
    """Share of the face's area that no counted defect covers, 0 to 1."""
    area = board.area
    if area <= 0:
        return Fraction(0)
    return max(Fraction(0), 1 - union_area(not_clear(board, side), Fraction(0), board.length) / area)
