"""One board with all that is known of it, in lines for the terminal and as files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from yieldopt.ground.lengths import Units
from yieldopt.rack.board.record import Photo, PhotoRef, RackBoard
from yieldopt.rack.books.photos import ENDINGS
from yieldopt.rack.show import wording
from yieldopt.rack.show.sketch import sketch

if TYPE_CHECKING:
    from yieldopt.rack.books.holding import Hold
    from yieldopt.rack.cut.booking import TakenPiece
    from yieldopt.rack.door.facade import Rack


@dataclass(frozen=True)
class Seen:
    """A board, boards that it became, who holds it, what was taken from it, and its photos."""

    record: RackBoard
    children: Sequence[RackBoard]
    hold: Hold | None
    taken: Sequence[TakenPiece]
    # Name of the board it came from; empty: from none.
    parent: str
    photos: Sequence[tuple[PhotoRef, Photo | None]]

    def facts(self, units: Units) -> list[str]:
        """What it is, a fact a line."""
        return wording.facts(self.record, units, self.hold, self.parent)

    def photo_files(self) -> dict[str, str | bytes]:
        """Its photos by file name."""
        return {f"{ref.digest[:12]}.{ENDINGS[p.kind]}": p.content for ref, p in self.photos if p}


def seen(rack: Rack, name: str) -> Seen:
    """Raises as `Rack.board`."""
    r = rack.board(name)
    parent = rack.names([r.origin.parent]).get(r.origin.parent, "") if r.origin else ""
    taken = rack.taken(r.id) if r.state == "cut" else []
    photos = [(ref, rack.photo(ref.digest)) for ref in r.photos]
    return Seen(r, rack.children(r.id), rack.holds().get(r.id), taken, parent, photos)


def lines(s: Seen, units: Units, plain: bool) -> list[str]:
    """The board as it is printed; `plain`: drawn with plain characters only."""
    r = s.record
    more = {
        "gave": [f"{t.piece}{' (spoiled)' if t.kind != 'part' else ''}" for t in s.taken],
        "became": [c.name for c in s.children],
        "photos": [ref.name for ref, _ in s.photos],
    }
    told = [f"{what}: {', '.join(names)}" for what, names in more.items() if names]
    return [f"board {r.name}  ({r.id})", *s.facts(units), "", *sketch(r.board, units, ascii_only=plain), *told]
