"""What has to come from boards to be bought: parts as footprints with a count and a thickness."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.sizes.sizing import (
    end_trim,
    rough_length,
    rough_width,
    run_piece_length,
    stave_thickness,
    stave_width_needed,
    thickness_need,
    warp_loss,
)
from yieldopt.wood.lumber import Board, Job, Part, PriceLine, Shop


@dataclass(frozen=True, slots=True)
class Want:
    """One footprint, `qty` times; `layers` of it from one blank where a match asks for that."""

    part: str
    qty: int
    species: str
    thickness: Fraction
    length: Fraction
    width: Fraction
    faces: int
    allow: frozenset[str]
    sawn: str
    # 1: copies are independent and may be layers of one blank or not; above 1: so many layers over one footprint.
    layers: int = 1
    # Narrowest and widest stave as rough-cut where it is staves of a glue-up: any widths do that come to `qty` of `width` net.
    staves: tuple[Fraction, Fraction] | None = None
    # The group that must come from one board, all wants of it together.
    home: str | None = None

    @property
    def area(self) -> Fraction:
        """Square inches of footprint, all copies and layers."""
        return self.length * self.width * self.qty * self.layers


def short_parts(job: Job, missing: Mapping[str, int]) -> tuple[Part, ...]:
    """The parts to be bought for: counts as missing, free of the rack boards they were tied to."""
    return tuple(replace(p, qty=missing[p.name], sources=()) for p in job.parts if missing.get(p.name))


def unmatched(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """The same parts without their book and slip groups: any of them may come from anywhere."""
    return tuple(replace(p, match=None, match_kind=None) if p.match_kind in ("book", "slip") else p for p in parts)


def wants_of(parts: tuple[Part, ...], shop: Shop) -> tuple[Want, ...]:
    """Footprints of parts, the thickest and largest first."""
    found: list[Want] = []
    groups: dict[str, list[Part]] = {}
    for p in parts:
        if p.match and p.match_kind in ("run", "slip", "book"):
            groups.setdefault(p.match, []).append(p)
        elif p.staves is not None:
            found.append(_staves(p, shop))
        else:
            found.append(_want(p, p.qty, rough_length(p, shop), rough_width(p, shop)))
    for some in groups.values():
        found.append(_group(some, shop))
    return merged(sorted(found, key=lambda w: (-w.thickness, -w.length * w.width, w.part)))


def merged(wants: Iterable[Want]) -> tuple[Want, ...]:
    """Wants alike but for their count as one, in the order given."""
    count: dict[Want, int] = {}
    for w in wants:
        alike = replace(w, qty=0)
        count[alike] = count.get(alike, 0) + w.qty
    return tuple(replace(w, qty=n) for w, n in count.items())


def _want(p: Part, qty: int, length: Fraction, width: Fraction, layers: int = 1) -> Want:
    home = p.match if p.match_kind == "board" else None
    return Want(p.name, qty, p.species, p.thickness, length, width, p.faces, p.allow, p.sawn, layers, home=home)


def _staves(p: Part, shop: Shop) -> Want:
    assert p.staves is not None
    needed = stave_width_needed(p, shop)
    least, most = p.staves
    # Staves near the middle of their range: wide ones are hard to find in boards, narrow ones waste edges.
    count = max(math.ceil(needed / most), round(needed / ((least + most) / 2)), 1)
    edges = 2 * shop.allowances.edge
    whole = _want(p, p.qty * count, rough_length(p, shop), needed / count + edges)
    widths = min(least, needed / count) + edges, max(most, needed / count) + edges
    return replace(whole, thickness=stave_thickness(p, shop), staves=widths)


def _group(some: list[Part], shop: Shop) -> Want:
    p, total = some[0], sum(q.qty for q in some)
    width = max(rough_width(q, shop) for q in some)
    if p.match_kind == "run":
        pieces = [q for q in some for _ in range(q.qty)]
        last = len(pieces) - 1
        length = sum((run_piece_length(q, shop, k == 0, k == last) for k, q in enumerate(pieces)), Fraction(0))
        return _want(p, 1, length + last * shop.kerf.crosscut, width)
    length = max(rough_length(q, shop) for q in some)
    return _want(p, total // 2, length, width, 2) if p.match_kind == "book" else _want(p, 1, length, width, total)


def layers_from(want: Want, board: Board, shop: Shop) -> int:
    """How many layers of the want's thickness a blank of its footprint gives on this board; 0: none."""
    there = board.thickness - warp_loss(board, want.length, want.width)
    n = 0
    while thickness_need((want.thickness,) * (n + 1), board.stress == "tested", shop) <= there:
        if n and (
            board.stress == "no resaw" or want.width > shop.machines.resaw_height or want.thickness < shop.machines.min_thickness
        ):
            break
        n += 1
    return n if n >= want.layers else 0


# Boards run a little over nominal (see `drawing_boards`): 1/16 in is usual.
USUALLY_OVER, NONE_OVER = Fraction(1, 16), Fraction(0)


def line_makes(want: Want, line: PriceLine, shop: Shop, stress: str = "unknown", over: Fraction = USUALLY_OVER) -> int:
    """Layers of a want that flat boards of a price line's largest size give, `over` thicker than nominal; 0: none."""
    if want.species != line.species or (want.sawn not in ("any", "flat") and want.sawn not in line.grade.casefold()):
        return 0
    if (line.max_length or Fraction(144)) - 2 * end_trim(line.nominal, shop) < want.length or (
        line.max_width or Fraction(12)
    ) < want.width:
        return 0
    plus = NONE_OVER if line.grade.casefold() == "clear" else over
    size = (line.max_length or Fraction(144), line.max_width or Fraction(12))
    typical = Board("", line.species, line.quarters, line.nominal, *size, line.nominal + plus, stress=stress)  # type: ignore[arg-type]
    return layers_from(want, typical, shop)
