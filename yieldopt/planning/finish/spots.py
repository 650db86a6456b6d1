"""Pieces between layout and plan: where each lies, and what it is called."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from yieldopt.planning.demand.items import PieceSpec


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

    @property
    def length(self) -> Fraction:
        return self.spec.length

    @property
    def width(self) -> Fraction:
        return self.spec.width

    @property
    def layer(self) -> int:
        return self.spec.layer

    @property
    def layers(self) -> int:
        return self.spec.layers


@dataclass(frozen=True)
class Named:
    """What a spot is called."""

    piece: str
    set: str | None = None
    stave: int | None = None
