"""What makes a rectangle of left-over wood an offcut: large enough to keep, and without an unsound defect."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from yieldopt.rules.clearance import ZERO, logged
from yieldopt.wood.lumber import SOUND_KINDS, Defect, Shop
from yieldopt.wood.plan import Placed


def large_enough(length: Fraction, width: Fraction, shop: Shop) -> bool:
    return length >= shop.values.offcut_min_length and width >= shop.values.offcut_min_width


def unsound(defects: Iterable[Defect]) -> list[Defect]:
    """Those that no offcut may hold."""
    return [d for d in defects if d.kind not in SOUND_KINDS]


def unsound_in(defects: Iterable[Defect], place: Placed, hair: Fraction = ZERO) -> Defect | None:
    """The first unsound defect in the place; None where it is sound."""
    return next((d for d in unsound(defects) if logged(d).meets(place, hair)), None)
