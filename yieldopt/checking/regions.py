"""What the saw leaves: the pieces of wood that cuts part a board into, one cut after the other."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from yieldopt.checking.geometry import EPS, Rect
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Cut


@dataclass(frozen=True, slots=True)
class Region:
    """One piece of wood: a rectangle whose natural sides follow the board."""

    rect: Rect
    # Cuts that parted it from the rest, in order.
    cuts: tuple[Cut, ...] = ()
    # The region it was when a rip first went through it: what crook is straightened over. None: never ripped.
    section: Rect | None = None

    @property
    def as_straightened(self) -> Rect:
        return self.section or self.rect


def whole(board: Board) -> Region:
    """The board before the first cut."""
    low, high = min(p.near for p in board.outline), max(p.far for p in board.outline)
    return Region(Rect(Fraction(0), low, board.length, high))


def kerf_of(cut: Cut) -> Rect:
    """The wood that a crosscut or rip turns to dust, seen from face A."""
    if cut.kind == "crosscut":
        return Rect(cut.at, cut.start, cut.at + cut.kerf, cut.end)
    return Rect(cut.start, cut.at, cut.end, cut.at + cut.kerf)


def wood_on_line(board: Board | None, region: Rect, cut: Cut, generous: bool) -> tuple[Fraction, Fraction] | None:
    """From where to where the saw is in the region's wood, along the cut; None where it meets none.

    On a wandering edge the kerf's two sides differ: `generous` takes the longer line, else the shorter. `board` is
    None inside a blank, which has straight sides.
    """
    side = kerf_of(cut)
    if cut.kind == "crosscut":
        low, high = max(side.x0, region.x0), min(side.x1, region.x1)
        if high - low <= EPS:
            return None
        start, end = region.y0, region.y1
        if board is not None:
            near, far = _widest(board, low, high) if generous else board.channel(low, high)
            start, end = max(start, near), min(end, far)
    else:
        low, high = max(side.y0, region.y0), min(side.y1, region.y1)
        if high - low <= EPS:
            return None
        start, end = region.x0, region.x1
        if board is not None:
            span = _along(board, low, high, start, end)
            if span is None:
                return None
            start, end = span
    return (start, end) if end - start > EPS else None


def _widest(board: Board, x0: Fraction, x1: Fraction) -> tuple[Fraction, Fraction]:
    """Lowest near edge and highest far edge over x0 to x1."""
    ends = [board.channel(x, x) for x in (x0, x1)]
    inner = [(p.near, p.far) for p in board.outline if x0 < p.x < x1]
    points = ends + inner
    return min(p[0] for p in points), max(p[1] for p in points)


def _along(board: Board, y0: Fraction, y1: Fraction, x0: Fraction, x1: Fraction) -> tuple[Fraction, Fraction] | None:
    """First and last x between x0 and x1 where the board has wood between y0 and y1; None where it has none."""
    stops = {x0, x1}
    for a, b in zip(board.outline, board.outline[1:], strict=False):
        stops.update((a.x, b.x))
        # Where an edge crosses the line of the cut.
        for ya, yb, level in ((a.near, b.near, y1), (a.far, b.far, y0)):
            if (ya - level) * (yb - level) < 0:
                stops.add(a.x + (b.x - a.x) * (level - ya) / (yb - ya))
    line = sorted(x for x in stops if x0 <= x <= x1)
    wooden = []
    for start, end in pairwise(line):
        near, far = board.channel((start + end) / 2, (start + end) / 2)
        if near < y1 - EPS and far > y0 + EPS:
            wooden.append((start, end))
    return (wooden[0][0], wooden[-1][1]) if wooden else None


def cut_in_two(region: Region, cut: Cut) -> list[Region]:
    """What is left of a region when a cut has run through it."""
    r, at, past = region.rect, cut.at, cut.at + cut.kerf
    section = region.section or (r if cut.kind == "rip" else None)
    if cut.kind == "crosscut":
        halves = [replace(r, x1=min(at, r.x1)), replace(r, x0=max(past, r.x0))]
    else:
        halves = [replace(r, y1=min(at, r.y1)), replace(r, y0=max(past, r.y0))]
    return [Region(h, (*region.cuts, cut), section) for h in halves if h.x1 - h.x0 > EPS and h.y1 - h.y0 > EPS]
