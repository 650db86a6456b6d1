"""Which defects a piece may hold, by the faces that its part asks to be clear and by the layer that the piece is cut from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import Literal, Protocol

from yieldopt.rules.clearance import ZERO, clear_of_blanks, clear_of_pieces
from yieldopt.wood.lumber import SOUND_KINDS, Defect, Shop
from yieldopt.wood.plan import Placed

FACES = 2
Side = Literal["A", "B"]


class Asks(Protocol):
    """What is asked of a piece: how many wide faces must be clear, and the kinds of defect that it may hold anyway."""

    @property
    def faces(self) -> int: ...
    @property
    def allow(self) -> frozenset[str]: ...


class Layered(Protocol):
    """The layer that a piece is cut from, counted from face A, and of how many."""

    @property
    def layer(self) -> int: ...
    @property
    def layers(self) -> int: ...


class Shown(Layered, Protocol):
    @property
    def show(self) -> str | None: ...


class Lying(Placed, Layered, Protocol):
    pass


def in_layer(d: Defect, layer: int, layers: int) -> bool:
    """Is the defect in this layer? What goes through is in all, what is seen on one face in the layer next to it."""
    return d.seen_on == "both" or layer == (1 if d.seen_on == "A" else layers)


def marred(defects: Iterable[Defect]) -> set[Side]:
    """The faces that some of the defects are on."""
    found: set[Side] = set()
    for d in defects:
        found |= {"A", "B"} if d.seen_on == "both" else {d.seen_on}
    return found


def minds(asks: Asks, kind: str) -> bool:
    """Is there a face on which this kind of defect would spoil the piece?"""
    return kind not in asks.allow and (kind not in SOUND_KINDS or asks.faces > 0)


def may_turn(asks: Asks, kind: str) -> bool:
    """Would a piece with this kind of defect on one face do with its other face up?"""
    return minds(asks, kind) and kind in SOUND_KINDS and asks.faces < FACES


def shows_fault(asks: Asks, piece: Shown, d: Defect) -> bool:
    """May the piece not hold this defect in its layer and with the face up that it has?"""
    if not minds(asks, d.kind) or not in_layer(d, piece.layer, piece.layers):
        return False
    # One clear face: a sound defect on both spoils it; else only the face that shows must be free of it.
    return d.kind not in SOUND_KINDS or asks.faces == FACES or d.seen_on in ("both", piece.show)


def spoilt_by(asks: Asks, defects: Sequence[Defect]) -> list[Defect]:
    """Those of the defects in a piece for which it can't be what is asked for, whichever face shows; empty where it can."""
    held = [d for d in defects if d.kind not in asks.allow]
    sound = [d for d in held if d.kind in SOUND_KINDS]
    unsound = [d for d in held if d.kind not in SOUND_KINDS]
    return unsound + (sound if FACES - len(marred(sound)) < asks.faces else [])


def met(asks: Asks, defects: Iterable[Defect], piece: Lying, shop: Shop, hair: Fraction = ZERO) -> Iterator[Defect]:
    """The defects that lie in the piece or nearer to it than they may, but for kinds that it may hold anyway."""
    for d in defects:
        allowed = d.kind in asks.allow or not in_layer(d, piece.layer, piece.layers)
        if not allowed and clear_of_pieces(d, shop).meets(piece, hair):
            yield d


def faults_on(asks: Asks, defects: Iterable[Defect], piece: Lying, shop: Shop, hair: Fraction = ZERO) -> set[Side]:
    """The faces of the piece that sound defects are on."""
    return marred(d for d in met(asks, defects, piece, shop, hair) if d.kind in SOUND_KINDS)


def thrown(defects: Iterable[Defect], blank: Placed, shop: Shop, hair: Fraction = ZERO) -> bool:
    """Could the machines throw something in the blank?"""
    return any((box := clear_of_blanks(d, shop)) is not None and box.meets(blank, hair) for d in defects)
