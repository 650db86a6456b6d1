"""A board's record with what a person corrects of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from yieldopt.ground.lengths import Units
from yieldopt.rack.board.record import PhotoRef, RackBoard
from yieldopt.rack.typed.intake import Typed, to_record, typed_of


@dataclass(frozen=True)
class Correction:
    """Cells in place of those there were; defects, edge points and photos beside them, or instead of them."""

    cells: Mapping[str, str]
    defects: Sequence[dict[str, str]] = ()
    edges: Sequence[dict[str, str]] = ()
    no_defects: bool = False
    no_edges: bool = False
    photos: tuple[PhotoRef, ...] = ()

    def made(self, r: RackBoard, units: Units) -> RackBoard:
        """The record corrected. Raises `InputError` where it is none any more."""
        old = typed_of(r, units)
        cells = {**old.cells, **self.cells}
        # Photos stay references; they are not files of a folder here.
        cells.pop("photos", None)
        defects = [*([] if self.no_defects else old.defects), *self.defects]
        edges = [*([] if self.no_edges else old.edges), *self.edges]
        made = to_record(Typed(cells, defects, edges), units, "rack correct")
        return replace(made, id=r.id, origin=r.origin, photos=r.photos + self.photos)
