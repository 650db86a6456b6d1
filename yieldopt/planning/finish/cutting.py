"""From rectangles to the cuts that part them: a guillotine tree in the order the shop saws it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from yieldopt.wood.rectangles import Rect

Kind = Literal["crosscut", "rip"]


@dataclass(frozen=True, slots=True)
class Sawn:
    """One cut: `at` is the kerf's side nearer the datum (x) or near edge (y); `start`, `end` its extent."""

    kind: Kind
    at: Fraction
    start: Fraction
    end: Fraction


@dataclass(frozen=True, slots=True)
class Parted:
    """What a cut leaves: its extent; y limits of None follow the board's own edges."""

    x0: Fraction
    x1: Fraction
    y0: Fraction | None
    y1: Fraction | None


# Lowest and highest y of the wood over a stretch of x, at its widest: what a cut there has to cross.
Extent = Callable[[Fraction, Fraction], tuple[Fraction, Fraction]]
# Whether so much wood, at its widest, may stay on what lies along the board's own near (True) or far edge.
Stays = Callable[[Sequence[Rect], Fraction, bool], bool]


def part_cuts(
    region: Parted,
    rects: Sequence[Rect],
    first: Kind,
    crosscut: Fraction,
    rip: Fraction,
    extent: Extent,
    stays: Stays = lambda _rects, _wood, _near: False,
    least: Fraction = Fraction(0),
) -> list[Sawn]:
    """Cuts, parents before children, that leave each rectangle alone in a region less than a kerf and `least` larger than
    itself; along the board's own edges what `stays` says.

    Cuts of one level are in order from the datum; at each level the direction that parts more is taken, `first` before
    any other. Raises `ValueError` where no through-cuts can part the rectangles.
    """
    by = _Saws(crosscut, rip, extent, stays, least)
    cuts: list[Sawn] = []
    level: list[tuple[Parted, list[Rect], Kind]] = [(region, list(rects), first)]
    while level:
        below: list[tuple[Parted, list[Rect], Kind]] = []
        for part, inside, kind in level:
            below += _split(part, inside, kind, by, cuts)
        level = below
    return cuts


@dataclass(frozen=True, slots=True)
class _Saws:
    """The arguments of `part_cuts` that stay the same all the way down."""

    crosscut: Fraction
    rip: Fraction
    extent: Extent
    stays: Stays
    least: Fraction

    def kerf(self, kind: Kind) -> Fraction:
        return self.crosscut if kind == "crosscut" else self.rip


def _split(region: Parted, rects: list[Rect], kind: Kind, by: _Saws, cuts: list[Sawn]) -> list[tuple[Parted, list[Rect], Kind]]:
    """Cut one region in one direction; returns the regions that hold rectangles and still need cutting."""
    if not rects:
        return []
    kinds: tuple[Kind, Kind] = ("crosscut", "rip") if kind == "crosscut" else ("rip", "crosscut")
    for k in kinds:
        strips = _strips(rects, k, by.kerf(k))
        edges = _edges(region, strips, k, by)
        if len(strips) > 1 or edges:
            return _saw(region, strips, edges, k, by, cuts)
    if len(rects) > 1:
        raise ValueError("no through-cut parts these rectangles")
    return []


def _span(r: Rect, kind: Kind) -> tuple[Fraction, Fraction]:
    return (r.x, r.x + r.length) if kind == "crosscut" else (r.y, r.y + r.width)


def _strips(rects: Sequence[Rect], kind: Kind, kerf: Fraction) -> list[list[Rect]]:
    """Groups of rectangles between which a cut of this kind fits, in order."""
    ordered = sorted(rects, key=lambda r: _span(r, kind))
    groups: list[list[Rect]] = [[ordered[0]]]
    reach = _span(ordered[0], kind)[1]
    for r in ordered[1:]:
        a, b = _span(r, kind)
        if a >= reach + kerf:
            groups.append([])
        groups[-1].append(r)
        reach = max(reach, b)
    return groups


def _edges(region: Parted, strips: Sequence[Sequence[Rect]], kind: Kind, by: _Saws) -> list[Fraction]:
    """Positions of the cuts that take waste off before, between and behind the groups."""
    at: list[Fraction] = []
    kerf = by.kerf(kind)
    low, high = _limits(region, kind, by.extent)
    reach = low
    for k, group in enumerate(strips):
        start = min(_span(r, kind)[0] for r in group)
        end = max(_span(r, kind)[1] for r in group)
        if k == 0 and kind == "rip" and region.y0 is None:
            cut = start > reach and not by.stays(group, start - reach, True)
        else:
            cut = start > reach and start - reach >= kerf + by.least
        if cut:
            at.append(start - kerf)
        last = k == len(strips) - 1
        if last and kind == "rip" and region.y1 is None:
            cut = high > end and not by.stays(group, high - end, False)
        else:
            cut = not last or (high > end and high - end >= kerf + by.least)
        if cut:
            at.append(end)
        reach = end + kerf
    return at


def _limits(region: Parted, kind: Kind, extent: Extent) -> tuple[Fraction, Fraction]:
    if kind == "crosscut":
        return region.x0, region.x1
    low, high = extent(region.x0, region.x1)
    return (low if region.y0 is None else region.y0), (high if region.y1 is None else region.y1)


def _saw(
    region: Parted,
    strips: Sequence[list[Rect]],
    edges: Sequence[Fraction],
    kind: Kind,
    by: _Saws,
    cuts: list[Sawn],
) -> list[tuple[Parted, list[Rect], Kind]]:
    kerf = by.kerf(kind)
    for at in edges:
        if kind == "crosscut":
            low, high = by.extent(at, at + kerf)
            cuts.append(Sawn(kind, at, low if region.y0 is None else region.y0, high if region.y1 is None else region.y1))
        else:
            cuts.append(Sawn(kind, at, region.x0, region.x1))
    other: Kind = "rip" if kind == "crosscut" else "crosscut"
    below: list[tuple[Parted, list[Rect], Kind]] = []
    for group in strips:
        start = min(_span(r, kind)[0] for r in group)
        end = max(_span(r, kind)[1] for r in group)
        before = [a + kerf for a in edges if a + kerf <= start]
        behind = [a for a in edges if a >= end]
        if kind == "crosscut":
            below.append(
                (Parted(max(before, default=region.x0), min(behind, default=region.x1), region.y0, region.y1), group, other)
            )
        else:
            bottom = max(before) if before else region.y0
            top = min(behind) if behind else region.y1
            below.append((Parted(region.x0, region.x1, bottom, top), group, other))
    return below
