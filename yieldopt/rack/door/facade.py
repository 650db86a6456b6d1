"""`Rack`: the one door to the inventory, for the command line and the phone page alike.

Each changing method is one transaction: stored and durable when it returns, or not at all. A method that takes `key` may be
called again with the same key and contents (a phone that was offline): the repeat changes nothing and gives the same answer.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from yieldopt.rack.board import record
from yieldopt.rack.board.errors import Refused
from yieldopt.rack.board.record import Photo, PhotoRef, RackBoard
from yieldopt.rack.books import holding, ledger, search
from yieldopt.rack.books import photos as photography
from yieldopt.rack.books.holding import Hold
from yieldopt.rack.books.ledger import Change
from yieldopt.rack.db import store
from yieldopt.rack.door.reader import RackReader
from yieldopt.wood.lumber import Board, Part

if TYPE_CHECKING:
    from yieldopt.rack.cut.booking import Corrections, Cutting
    from yieldopt.rack.cut.splitting import SplitCut
    from yieldopt.wood.plan import Plan


class Rack(RackReader):
    """An open rack: what `RackReader` can be asked, and every change."""

    def log(self, board: RackBoard, *, key: str | None = None, photos: Iterable[Photo] = ()) -> RackBoard:
        """Store a new board; what is stored. Raises `NameTaken`, `KeyReused`, or `Refused` if the id is known."""
        return self.log_all([board], key=key, photos=photos, what="log")[0]

    def log_all(
        self,
        boards: Sequence[RackBoard],
        *,
        key: str | None = None,
        photos: Iterable[Photo] = (),
        what: str = "load",
        remark: str = "",
    ) -> list[RackBoard]:
        """Store new boards, all or none; as `log`."""
        fingerprint = ledger.digest(*(record.dumps(b) for b in boards))
        with self._writing() as connection:
            before = ledger.repeated(connection, key, fingerprint)
            if before is not None:
                steps = ledger.changes(connection, seqs=[before])[0].steps
                return [s.after for s in steps if s.after]
            known = store.by_id(connection, [b.id for b in boards])
            if known:
                raise Refused(f"a board of this identity was logged before: {', '.join(b.name for b in known.values())}")
            for photo in photos:
                photography.keep(connection, photo)
            ledger.write(
                connection, self._author(key), what, {b.id: b for b in boards}, before={}, fingerprint=fingerprint, remark=remark
            )
        return list(boards)

    def correct(
        self,
        name: str,
        change: Callable[[RackBoard], RackBoard],
        *,
        remark: str = "",
        key: str | None = None,
        photos: Iterable[Photo] = (),
    ) -> RackBoard:
        """Replace what is known of a board on the rack by `change(board)`; the board as it is then.

        Raises `NoSuchBoard`, `NameTaken`, or `Refused` if nothing would change.
        """
        return self.correct_all({name: change}, remark=remark, key=key, photos=photos)[0]

    def correct_all(
        self,
        corrections: Mapping[str, Callable[[RackBoard], RackBoard]],
        *,
        remark: str = "",
        key: str | None = None,
        photos: Iterable[Photo] = (),
        added: Sequence[RackBoard] = (),
        what: str = "correct",
    ) -> list[RackBoard]:
        """Several corrections, and boards added with them, as one change; as `correct`."""
        photos = list(photos)
        with self._writing() as connection:
            # A repeat is held against the boards as they were then: they may have changed, or left, since.
            earlier = ledger.before(connection, key)
            found = search.named(connection, list(corrections)) if earlier is None else _called(earlier, corrections)
            after = {r.id: replace(corrections[n](r), id=r.id, state="on rack") for n, r in found.items()}
            after = {r.id: after[r.id] for r in found.values() if record.dumps(after[r.id]) != record.dumps(r)}
            says = (record.dumps(r) for r in (*after.values(), *added))
            fingerprint = ledger.digest(what, remark, *corrections, *says, *(p.digest for p in photos))
            if ledger.repeated(connection, key, fingerprint) is not None:
                return list(store.by_id(connection, [r.id for r in found.values()]).values())
            after.update((b.id, b) for b in added)
            if not after:
                raise Refused("nothing would change")
            for photo in photos:
                photography.keep(connection, photo)
            ledger.write(
                connection,
                self._author(key),
                what,
                after,
                before={r.id: r for r in found.values()},
                remark=remark,
                fingerprint=fingerprint,
            )
        return list(after.values())

    def add_photo(self, name: str, photo: Photo, *, key: str | None = None) -> RackBoard:
        """Keep a photo of a board."""
        ref = PhotoRef(photo.name, photo.digest)

        def with_photo(r: RackBoard) -> RackBoard:
            return r if ref in r.photos else replace(r, photos=(*r.photos, ref))

        return self.correct_all({name: with_photo}, what="photo", remark=photo.name, key=key, photos=[photo])[0]

    def retire(self, names: Sequence[str], why: str, *, job: str | None = None) -> list[RackBoard]:
        """Take boards off the rack that were not cut: sold, burnt, lost. Raises `BoardHeld` if another job holds one."""
        with self._writing() as connection:
            found = holding.free(connection, names, job, self._now())
            after = {r.id: replace(r, state="retired", why=why) for r in found.values()}
            ledger.write(connection, self._author(), "retire", after, before={r.id: r for r in found.values()}, remark=why)
            holding.let_go(connection, after)
        return list(after.values())

    def split(self, name: str, cut: SplitCut, names: tuple[str, str], *, job: str | None = None) -> list[RackBoard]:
        """Saw a board in two that both stay on the rack; the two. Raises `BoardHeld`, `NameTaken`, `Refused`."""
        from yieldopt.rack.cut import splitting

        with self._writing() as connection:
            parent = holding.free(connection, [name], job, self._now())[name]
            pieces = splitting.saw(parent, cut, names)
            after: dict[str, RackBoard | None] = {
                parent.id: replace(parent, state="split", why=f"split into {names[0]} and {names[1]}")
            }
            after.update((p.id, p) for p in pieces)
            ledger.write(connection, self._author(), "split", after, before={parent.id: parent})
            holding.let_go(connection, [parent.id])
        return list(pieces)

    def undo(self, seq: int | None = None) -> Change:
        """Take back the last change (or change `seq`), holds apart; the change that did it.

        Raises `Refused`, `BoardHeld` or `NameTaken`.
        """
        with self._writing() as connection:
            new = ledger.undo(connection, self._author(), self._now(), seq)
            return ledger.changes(connection, seqs=[new])[0]

    # Holding

    def hold(self, job: str, names: Sequence[str], token: str | None = None, seconds: int | None = None) -> list[Hold]:
        """Hold boards for a job, all or none. With a `token` it is a planner's hold, which runs out soon unless it is renewed by
        the same call; without, the job's own. Raises `BoardHeld` if another job or planner has one, `NoSuchBoard`."""
        if seconds is None:
            seconds = holding.JOB_SECONDS if token is None else holding.PLANNER_SECONDS
        with self._writing() as connection:
            now = self._now()
            found = {r.id: r.name for r in search.named(connection, list(names)).values()}
            hold = Hold("", job, token, self.who, self._stamp(), now + seconds)
            holding.take(connection, found, hold, now)
            if token is None and found:
                # A planner looks at many boards for a while; the ledger tells of those it settled on.
                ledger.mention(connection, self._author(), "hold", found, f"for {job}")
            return list(holding.in_force(connection, now, found).values())

    def settle(self, job: str, names: Sequence[str], token: str) -> None:
        """A planner is done: `names` are held for the job itself from now on, its other holds are released. Raises `BoardHeld`
        if a hold had run out and somebody else took the board."""
        with self._writing() as connection:
            now = self._now()
            found = {r.id: r.name for r in search.named(connection, list(names)).values()}
            holding.take(connection, found, Hold("", job, token, self.who, self._stamp(), now + holding.JOB_SECONDS), now)
            mine = [i for i, h in holding.in_force(connection, now).items() if h.job == job and h.token in (token, None)]
            holding.let_go(connection, mine)
            holding.take(connection, found, Hold("", job, None, self.who, self._stamp(), now + holding.JOB_SECONDS), now)
            if found:
                ledger.mention(connection, self._author(), "hold", found, f"for {job}")

    def release(self, *, job: str | None = None, token: str | None = None, names: Sequence[str] | None = None) -> list[str]:
        """End holds: a job's, a planner's, or those of named boards; the names released."""
        with self._writing() as connection:
            wanted = None if names is None else {r.id for r in search.named(connection, list(names)).values()}
            held = holding.in_force(connection, self._now(), wanted)
            mine = [i for i, h in held.items() if (job is None or h.job == job) and (token is None or h.token == token)]
            boards = store.by_id(connection, mine)
            holding.let_go(connection, mine)
            told = [i for i in mine if held[i].token is None]
            if told:
                jobs = ", ".join(sorted({held[i].job for i in told}))
                ledger.mention(connection, self._author(), "release", told, f"from {jobs}")
            return [r.name for r in boards.values()]

    # Cutting

    def book(
        self,
        plan: Plan,
        *,
        boards: Sequence[str] | None = None,
        parts: Mapping[str, Part] | None = None,
        fix: Corrections | None = None,
        edge: Fraction | None = None,
        key: str | None = None,
        seen: Mapping[str, Board] | None = None,
    ) -> list[Cutting]:
        """Book boards as cut from a plan, as one change: all of the plan's, or those named. `parts` (by name) and `edge` are the
        job's, for finished sizes, and `seen` its boards, for defects that came to light in it. Raises `NoSuchBoard`,
        `BoardHeld`, `NameTaken`, `Refused`."""
        from yieldopt.rack.cut import cuttings as cutting
        from yieldopt.rack.cut.booking import Corrections

        with self._writing() as connection:
            author, now = self._author(key), self._now()
            return cutting.book(connection, author, now, plan, boards, parts or {}, fix or Corrections(), edge, seen or {})


def _called(records: Iterable[RackBoard], names: Iterable[str]) -> dict[str, RackBoard]:
    """Those of the records that are meant by the names, as `search.named` would find them on a rack of these alone."""
    there = list(records)
    found = {n: next((r for r in there if n == r.name or r.id.startswith(n.lower())), None) for n in names}
    return {n: r for n, r in found.items() if r is not None}


def new_id() -> str:
    """An identity for a new board, as a phone makes one while it is offline."""
    return str(uuid.uuid4())


def boards_for_job(where: str | Path, job: str | None = None) -> tuple[Board, ...]:
    """The boards of a rack that are free for planning a job: on the rack and not held by others."""
    with Rack.open(where, read_only=True) as rack:
        return rack.available_boards(job)
