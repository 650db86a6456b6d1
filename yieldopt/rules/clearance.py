"""What a defect keeps clear: of pieces, as far as the grain is spoilt; of blanks, where the machines could throw it.

All lengths are `Fraction` inches, boxes open: what only touches one is clear of it. `hair` is what two may overlap by where
places were read back from a file.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from yieldopt.wood.lumber import SWIRL_KINDS, THROWN_KINDS, Defect, Shop
from yieldopt.wood.plan import Placed

ZERO = Fraction(0)
# From and to, along one axis.
Span = tuple[Fraction, Fraction]


class Box(NamedTuple):
    """What is to be kept clear, along and across the board."""

    along: Span
    across: Span

    def meets(self, place: Placed, hair: Fraction = ZERO) -> bool:
        """Has the place more than an edge, or more than a hair, in common with it?"""
        (x0, x1), (y0, y1) = self
        return (
            place.x < x1 - hair
            and x0 < place.x + place.length - hair
            and place.y < y1 - hair
            and y0 < place.y + place.width - hair
        )


def keep_clear(kind: str, shop: Shop) -> tuple[Fraction, Fraction]:
    """What pieces keep clear of beyond a defect's rectangle, along and across the grain: grain swirls round a knot, splits
    and checks run on beyond what is seen, wood beside pith splits."""
    a = shop.allowances
    if kind in SWIRL_KINDS:
        return a.defect_along, a.defect_across
    along = {"split": a.split_along, "check": a.check_along}.get(kind, ZERO)
    return along, a.pith_across if kind == "pith" else ZERO


def logged(d: Defect) -> Box:
    """The rectangle logged: what an offcut keeps clear of."""
    return Box((d.x, d.x + d.length), (d.y, d.y + d.width))


def clear_of_pieces(d: Defect, shop: Shop) -> Box:
    """What a piece that may not hold the defect keeps clear of."""
    along, across = keep_clear(d.kind, shop)
    return Box((d.x - along, d.x + d.length + along), (d.y - across, d.y + d.width + across))


def clear_of_blanks(d: Defect, shop: Shop) -> Box | None:
    """What every blank keeps clear of, whatever its parts allow: what the machines could throw, and a split's hidden ends
    along the grain; None where a blank may hold the defect."""
    if d.kind not in THROWN_KINDS:
        return None
    along = shop.allowances.split_along if d.kind == "split" else ZERO
    return Box((d.x - along, d.x + d.length + along), (d.y, d.y + d.width))
