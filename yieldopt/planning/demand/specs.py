"""What an item is: a footprint with its blanks, their layers and the pieces in them. It does not know the board yet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class PieceSpec:
    """One piece inside an item; offsets from the item's corner."""

    part: int
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    # Layer from face A and its blank's number of layers.
    layer: int
    layers: int
    # The face that must be clear where the part asks for one clear face; None: as `faces` says.
    show: str | None = None
    stave: bool = False


@dataclass(frozen=True, slots=True)
class BlankSpec:
    """One blank inside an item."""

    x: Fraction
    length: Fraction
    width: Fraction
    thicknesses: tuple[Fraction, ...]
    pieces: tuple[PieceSpec, ...]


@dataclass(frozen=True, slots=True)
class Item:
    """A footprint that is placed as a whole, with what it gives to the rows."""

    species: str
    length: Fraction
    width: Fraction
    blanks: tuple[BlankSpec, ...]
    # (row, units): what it supplies.
    gives: tuple[tuple[int, Fraction], ...]
    # Board, x and y at which its corner must lie; None: anywhere.
    at: tuple[str, Fraction, Fraction] | None = None
    # True where it shares no strip of a section with another item.
    alone: bool = False

    @property
    def pieces(self) -> Iterator[PieceSpec]:
        for blank in self.blanks:
            yield from blank.pieces
