"""One board of a plan beside the job's record of it, and what its things are called."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from yieldopt.checking.geometry import rect
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Blank, BoardPlan, Offcut, Piece, Spoiled

# What shares the wood of a blank.
Thing = Piece | Offcut | Spoiled
# What shares the wood of a board.
Solid = Blank | Offcut | Spoiled


@dataclass(frozen=True)
class View:
    """One board of the plan with the job's own record of it."""

    board: Board
    plan: BoardPlan

    @property
    def name(self) -> str:
        return self.board.name

    @cached_property
    def blanks(self) -> dict[str, Blank]:
        """Blanks by name; where a name is taken twice, the first."""
        found: dict[str, Blank] = {}
        for blank in self.plan.blanks:
            found.setdefault(blank.blank, blank)
        return found

    @cached_property
    def kept(self) -> tuple[Offcut, ...]:
        return tuple(o for o in self.plan.offcuts if o.kept)

    def blank_round(self, thing: Offcut | Spoiled) -> Blank | None:
        """The blank that an offcut or a spoiled piece lies in; None where it lies outside all."""
        inside = (b for b in self.plan.blanks if b.layers == thing.layers and rect(thing).within(rect(b)))
        return next(inside, None)

    @cached_property
    def loose_kept(self) -> tuple[Offcut, ...]:
        """Kept offcuts outside every blank."""
        return tuple(o for o in self.kept if self.blank_round(o) is None)

    @cached_property
    def usable(self) -> tuple[Blank | Offcut, ...]:
        """What must lie on usable wood: blanks and kept offcuts."""
        return (*self.plan.blanks, *self.kept)

    @cached_property
    def solids(self) -> tuple[Solid, ...]:
        """What must be parted on the board: blanks, and kept offcuts and spoiled pieces outside them."""
        return (*self.plan.blanks, *self.loose_kept, *self.loose_spoiled)

    @cached_property
    def loose_spoiled(self) -> tuple[Spoiled, ...]:
        return tuple(s for s in self.plan.spoiled if self.blank_round(s) is None)

    @cached_property
    def things_in(self) -> dict[str, tuple[Thing, ...]]:
        """Pieces, kept offcuts and spoiled pieces that share a blank's wood, by blank."""
        found: dict[str, list[Thing]] = {name: [] for name in self.blanks}
        for piece in self.plan.pieces:
            if piece.blank in found:
                found[piece.blank].append(piece)
        others: tuple[Offcut | Spoiled, ...] = (*self.kept, *self.plan.spoiled)
        for other in others:
            blank = self.blank_round(other)
            if blank is not None:
                found[blank.blank].append(other)
        return {name: tuple(things) for name, things in found.items()}


def label(thing: Solid | Thing) -> str:
    """What a thing is called in a finding."""
    if isinstance(thing, Blank):
        return f"blank {thing.blank}"
    if isinstance(thing, Offcut):
        return f"offcut {thing.offcut}"
    return f"spoiled {thing.piece}" if isinstance(thing, Spoiled) else f"piece {thing.piece}"
