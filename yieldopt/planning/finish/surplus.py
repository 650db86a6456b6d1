"""Layers of a resawn blank whose piece is not wanted after all: filled from elsewhere, or not sawn, or given up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from yieldopt.planning.finish.spots import Named, Spot
from yieldopt.rules.clearance import clear_of_pieces
from yieldopt.rules.faces import shows_fault
from yieldopt.wood.lumber import Job


def no_empty_layers(job: Job, spots: Sequence[Spot], named: dict[Spot, Named]) -> None:
    """See to it that every layer that must be sawn holds a named piece.

    A layer without one takes over a like piece from a blank that can spare it; else the blank is sawn into fewer layers,
    if its pieces stay clear of defects that then count for them; else its pieces are given up and count as unplaced.
    """
    blanks: dict[tuple[int, int, int], list[Spot]] = {}
    for s in spots:
        blanks.setdefault(s.blank, []).append(s)
    for mine in blanks.values():
        if not any(s in named for s in mine):
            continue
        for layer in {s.spec.layer for s in mine} - {s.spec.layer for s in mine if s in named}:
            _take_over(job, [s for s in mine if s.spec.layer == layer], blanks, named)
        have = [s for s in mine if s in named]
        used = sorted({s.spec.layer for s in have})
        if len(used) < have[0].spec.layers and not all(_clear(job, s, used) for s in have):
            for s in have:
                del named[s]


def _take_over(job: Job, empty: Sequence[Spot], blanks: dict[tuple[int, int, int], list[Spot]], named: dict[Spot, Named]) -> None:
    """Give one of the empty spots the name of a like piece whose own blank can do without it: a single piece, or else a layer
    whose loss leaves the others of its blank clear."""
    for s in empty:
        mine = blanks[s.blank]
        # Where the layer can go unsawn, only a single piece, which then need not be cut at all, is better placed here.
        as_it_is = sorted({t.spec.layer for t in mine})
        needed = not _clear_alone(job, [t for t in mine if t in named]) and _clear(job, s, as_it_is)
        for other in sorted(blanks.values(), key=lambda spots: spots[0].spec.layers > 1):
            if other[0].blank == s.blank:
                continue
            for t in other:
                if other[0].spec.layers > 1 and not (needed and _spares(job, t, other, named)):
                    continue
                like = t.spec.part == s.spec.part and (t.spec.length, t.spec.width, t.spec.stave) == (
                    s.spec.length,
                    s.spec.width,
                    s.spec.stave,
                )
                if t in named and like and named[t].set is None and not t.pinned:
                    named[s] = named.pop(t)
                    return


def _spares(job: Job, gone: Spot, blank: Sequence[Spot], named: dict[Spot, Named]) -> bool:
    """True where the named pieces of a blank stay clear when it is sawn without this one's layer."""
    if any(s in named and s is not gone and s.spec.layer == gone.spec.layer for s in blank):
        return False
    return _clear_alone(job, [s for s in blank if s in named and s is not gone])


def _clear_alone(job: Job, have: Sequence[Spot]) -> bool:
    """True where these pieces of a blank stay clear when only their layers are sawn."""
    used = sorted({s.spec.layer for s in have})
    return all(_clear(job, s, used) for s in have)


def _clear(job: Job, s: Spot, used: Sequence[int]) -> bool:
    """True where the piece may lie in its layer when only the layers `used` are sawn."""
    spec = replace(s.spec, layer=used.index(s.spec.layer) + 1, layers=len(used))
    part = job.parts[spec.part]
    near = [d for d in job.board_named[s.board].defects if clear_of_pieces(d, job.shop).meets(s)]
    # A piece with one clear face in a single layer has both faces to choose from.
    shows = ("A", "B") if part.faces == 1 and len(used) == 1 else (spec.show,)
    return any(not any(shows_fault(part, replace(spec, show=show), d) for d in near) for show in shows)
