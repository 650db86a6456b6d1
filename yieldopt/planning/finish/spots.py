"""Pieces between layout and plan: where each lies, what it is called, what defects reach it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from yieldopt.lumber import Defect, Job
from yieldopt.planning.demand.items import PieceSpec
from yieldopt.sizing import keep_clear


@dataclass(frozen=True)
class Spot:
    """A piece before it has its name: where it lies, and what it is a unit of."""

    board: str
    # Identifies its blank: (index of the layout, of the placed item, of the blank in the item).
    blank: tuple[int, int, int]
    spec: PieceSpec
    x: Fraction
    y: Fraction
    # True where the maker has chosen the place of its item.
    pinned: bool = False


@dataclass(frozen=True)
class Named:
    """What a spot is called."""

    piece: str
    set: str | None = None
    stave: int | None = None


def reaches(job: Job, d: Defect, x: Fraction, y: Fraction, length: Fraction, width: Fraction) -> bool:
    """True where the defect with its keep-out overlaps the rectangle."""
    ga, gc = keep_clear(d.kind, job.shop)
    return x < d.x + d.length + ga and d.x - ga < x + length and y < d.y + d.width + gc and d.y - gc < y + width
