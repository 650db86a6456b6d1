"""Everything a rack can be asked without changing it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from yieldopt.rack.board.record import Photo, RackBoard
from yieldopt.rack.books import holding, ledger, news, search
from yieldopt.rack.books import photos as photography
from yieldopt.rack.books.holding import Hold
from yieldopt.rack.books.ledger import Change
from yieldopt.rack.books.news import News
from yieldopt.rack.books.search import BoardSearch
from yieldopt.rack.db import engine, store
from yieldopt.rack.door.access import OpenRack
from yieldopt.rack.typed.extras import for_a_job
from yieldopt.wood.lumber import Board

if TYPE_CHECKING:
    from yieldopt.rack.cut.booking import TakenPiece
    from yieldopt.rack.cut.cuttings import YieldLine


class RackReader(OpenRack):
    """The questions. Each sees one state of the rack throughout."""

    def board(self, name: str, gone_too: bool = True) -> RackBoard:
        """The board of this name or id (or its first eight letters); raises `NoSuchBoard`."""
        return self.named([name], gone_too)[name]

    def named(self, names: Sequence[str], gone_too: bool = False) -> dict[str, RackBoard]:
        """Boards by the names given; raises `NoSuchBoard` with all that are missing."""
        with self._reading() as connection:
            return search.named(connection, list(names), gone_too)

    def names(self, ids: Iterable[str]) -> dict[str, str]:
        """The names that boards bear, or bore when they left, by id."""
        with self._reading() as connection:
            return store.names(connection, ids)

    def boards(self, wanted: BoardSearch = BoardSearch()) -> list[RackBoard]:  # noqa: B008 - frozen
        """The boards that fit, in the order of logging."""
        with self._reading() as connection:
            return [r for r in store.fetch(connection, search.query(wanted, self._now())) if search.fits(r, wanted)]

    def by_id(self, ids: Iterable[str]) -> dict[str, RackBoard]:
        """Boards by id, whatever became of them; unknown ids are left out."""
        with self._reading() as connection:
            return store.by_id(connection, list(ids))

    def news(self, cursor: str = "", most: int = 250) -> News:
        """What changed since `cursor`, which the page before gave; "" begins with every board."""
        with self._reading() as connection:
            return news.page(connection, cursor, most)

    def newest(self) -> int:
        """Number of the ledger's newest line; 0 for a rack without any."""
        with self._reading() as connection:
            return ledger.newest(connection)

    def children(self, name: str) -> list[RackBoard]:
        """Boards that came from this one."""
        parent = self.board(name)
        with self._reading() as connection:
            return store.fetch(connection, search.children_query(parent.id))

    def available_boards(self, job: str | None = None, token: str | None = None) -> tuple[Board, ...]:
        """Boards that a planner may use: on the rack, and held by no other job nor by another planner of this one."""
        with self._reading() as connection:
            records = store.fetch(connection, search.query(BoardSearch(), self._now()))
            held = holding.in_force(connection, self._now())
        return tuple(for_a_job(r) for r in records if r.id not in held or not holding.binds(held[r.id], job, token))

    def held_elsewhere(self, job: str, token: str | None = None) -> list[tuple[RackBoard, Hold]]:
        """Boards that `available_boards` leaves out because they are held, each with its hold."""
        with self._reading() as connection:
            held = holding.in_force(connection, self._now())
            boards = store.by_id(connection, [i for i, h in held.items() if holding.binds(h, job, token)])
        return [(r, held[i]) for i, r in boards.items()]

    def history(self, name: str | None = None, most: int | None = None) -> list[Change]:
        """The ledger, newest first; of one board, or of all."""
        with self._reading() as connection:
            if name is None:
                return ledger.changes(connection, most=most)
            return ledger.changes(connection, search.named(connection, [name], gone_too=True)[name].id, most)

    def species(self) -> frozenset[str]:
        """Every species that a board was ever logged with."""
        with self._reading() as connection:
            return search.species(connection)

    def last_logged(self) -> RackBoard | None:
        """The board that this person logged last: the prompt's memory."""
        with self._reading() as connection:
            return search.last_logged(connection, self.who)

    def held_before(self, seq: int) -> dict[str, list[str]]:
        """Boards of change `seq` that are on the rack and free, though a job held them when it ended their hold: names by job."""
        with self._reading() as connection:
            jobs = ledger.held_before(connection, seq)
            now = holding.in_force(connection, self._now(), jobs)
            there = store.by_id(connection, [i for i in jobs if i not in now])
        found: dict[str, list[str]] = {}
        for i, r in there.items():
            if r.state == "on rack":
                found.setdefault(jobs[i], []).append(r.name)
        return found

    def photo(self, digest: str) -> Photo | None:
        """A photo by the digest that a board's `photos` name."""
        with self._reading() as connection:
            return photography.fetch(connection, digest)

    def holds(self, job: str | None = None) -> dict[str, Hold]:
        """Holds in force, by board id."""
        with self._reading() as connection:
            return {i: h for i, h in holding.in_force(connection, self._now()).items() if job is None or h.job == job}

    def taken(self, name: str) -> list[TakenPiece]:
        """The pieces that a cut board gave."""
        board = self.board(name)
        from yieldopt.rack.cut import cuttings as cutting

        with self._reading() as connection:
            return cutting.pieces_taken(connection, board.id)

    def yields(self, by: str = "job") -> list[YieldLine]:
        """What the boards cut came to, summed by "job", "species", "dealer" or "month"."""
        from yieldopt.rack.cut import cuttings as cutting

        with self._reading() as connection:
            return cutting.yields(connection, by)

    def spoiled_by_species(self) -> dict[str, tuple[int, int]]:
        """How many pieces of each species the boards cut gave, spoiled ones among them, and how many were spoiled."""
        from yieldopt.rack.cut import cuttings as cutting

        with self._reading() as connection:
            return cutting.spoiled_by_species(connection)

    def opened_boards(self) -> list[tuple[RackBoard, int]]:
        """Boards that were bought and cut, and how many defects came to light in each while it was."""
        from yieldopt.rack.cut import cuttings as cutting

        with self._reading() as connection:
            return cutting.opened_boards(connection)

    def check(self) -> list[str]:
        """Look at everything: the database's own check, and each board against the ledger; what is wrong."""
        from yieldopt.rack.books import checkup

        with self._reading() as connection:
            return checkup.check(connection)

    def backup(self, target: Path) -> None:
        """Copy the rack to a new file, whole and at one moment, while others may write. Raises `Refused` if the file exists."""
        from yieldopt.rack.db import backup, filecopy

        if engine.is_url(self.where):
            backup.copy_server(self.where, target)
        else:
            filecopy.copy_file(Path(self.where), target)
