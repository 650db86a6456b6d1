"""Boards booked as cut, stored; and what the cut boards yielded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select

from yieldopt.ground.errors import UsageError
from yieldopt.rack.board.errors import NoSuchBoard
from yieldopt.rack.board.exact import from_text, to_text
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.books import holding, ledger
from yieldopt.rack.books.ledger import Author
from yieldopt.rack.cut import booking
from yieldopt.rack.cut.booking import Corrections, Cutting, TakenPiece
from yieldopt.rack.db import schema as s
from yieldopt.rack.db import store
from yieldopt.wood.lumber import Board, Part
from yieldopt.wood.plan import Plan

_FIGURES = ("bought", "kept", "parts", "cost", "credit")
_SIZES = ("x", "y", "length", "width", "thickness")
WAYS = ("job", "species", "dealer", "month")


@dataclass(frozen=True, slots=True)
class YieldLine:
    """Boards cut, summed under one heading. Volumes in cubic inches, money in the rack's currency, exact."""

    heading: str
    boards: int
    bought: Fraction
    kept: Fraction
    parts: Fraction
    cost: Fraction
    credit: Fraction

    @property
    def waste(self) -> Fraction:
        return self.bought - self.kept - self.parts

    @property
    def share(self) -> Fraction | None:
        """Finished volume over the volume bought less kept offcuts; None where nothing was used."""
        used = self.bought - self.kept
        return self.parts / used if used > 0 else None


def book(
    connection: Connection,
    author: Author,
    now: int,
    plan: Plan,
    names: Sequence[str] | None,
    parts: Mapping[str, Part],
    fix: Corrections,
    edge: Fraction | None,
    seen: Mapping[str, Board],
) -> list[Cutting]:
    """See `Rack.book`."""
    planned = {b.board: b for b in plan.boards}
    strange = [n for n in names or () if n not in planned]
    if strange:
        raise NoSuchBoard(strange, sorted(planned))
    chosen = [b for b in plan.boards if names is None or b.board in names]
    booking.check_corrections(plan, chosen, fix)
    fingerprint = ledger.digest("cut", plan.job, *(b.board for b in chosen), repr(fix))
    earlier = ledger.repeated(connection, author.key, fingerprint)
    if earlier is not None:
        return _stored(connection, earlier)
    records = holding.free(connection, [b.board for b in chosen], plan.job, now)
    as_seen = {name: booking.with_found(r, seen.get(name)) for name, r in records.items()}
    cuttings = [booking.work_out(as_seen[b.board], b, plan.job, parts, fix, edge or Fraction(0)) for b in chosen]
    after: dict[str, RackBoard | None] = {}
    for b, c in zip(chosen, cuttings, strict=True):
        after[c.board] = booking.parent_after(as_seen[b.board], plan.job)
        after.update((o.id, o) for o in c.offcuts)
    seq = ledger.write(
        connection,
        author,
        "cut",
        after,
        before={r.id: r for r in records.values()},
        remark=f"for {plan.job}",
        fingerprint=fingerprint,
    )
    for c in cuttings:
        connection.execute(
            insert(s.cuttings).values(seq=seq, board=c.board, job=c.job, **{k: to_text(getattr(c, k)) for k in _FIGURES})
        )
        rows = [
            {
                "seq": seq,
                "board": c.board,
                "no": no,
                "piece": t.piece,
                "part": t.part,
                "kind": t.kind,
                "layer": t.layer,
                **{k: to_text(getattr(t, k)) for k in _SIZES},
            }
            for no, t in enumerate(c.taken)
        ]
        if rows:
            connection.execute(insert(s.taken), rows)
    holding.let_go(connection, [c.board for c in cuttings])
    return cuttings


def _stored(connection: Connection, seq: int) -> list[Cutting]:
    steps = ledger.changes(connection, seqs=[seq])[0].steps
    made = [t.after for t in steps if t.after and t.after.origin]
    rows = connection.execute(select(s.cuttings).where(s.cuttings.c.seq == seq)).all()
    found = []
    for row in rows:
        pieces = connection.execute(
            select(s.taken).where(s.taken.c.seq == seq, s.taken.c.board == row.board).order_by(s.taken.c.no)
        ).all()
        taken = tuple(_piece(p) for p in pieces)
        offcuts = tuple(m for m in made if m.origin and m.origin.parent == row.board)
        found.append(Cutting(row.board, row.job, **_exact(row, _FIGURES), taken=taken, offcuts=offcuts))
    return found


def yields(connection: Connection, by: str) -> list[YieldLine]:
    """See `Rack.yields`; lines in order of their heading, bookings that were undone left out."""
    if by not in WAYS:
        raise UsageError(f"yields are summed by {', '.join(WAYS)}, not by {by!r}")
    c = s.cuttings.c
    heading = {"job": c.job, "species": s.boards.c.species, "dealer": s.boards.c.dealer, "month": s.changes.c.at}[by]
    query = (
        select(heading.label("heading"), c.bought, c.kept, c.parts, c.cost, c.credit)
        .join(s.changes, s.changes.c.seq == c.seq)
        .join(s.boards, s.boards.c.id == c.board)
        .where(s.changes.c.undone_by.is_(None))
    )
    lines: dict[str, YieldLine] = {}
    for row in connection.execute(query):
        key = row.heading[:7] if by == "month" else row.heading or "(not noted)"
        old = lines.get(key, YieldLine(key, 0, *(Fraction(0),) * 5))
        lines[key] = YieldLine(key, old.boards + 1, *(getattr(old, k) + from_text(getattr(row, k)) for k in _FIGURES))
    return [lines[k] for k in sorted(lines)]


def spoiled_by_species(connection: Connection) -> dict[str, tuple[int, int]]:
    """See `Rack.spoiled_by_species`; bookings that were undone left out."""
    query = (
        select(s.boards.c.species, s.taken.c.kind, func.count().label("pieces"))
        .join(s.changes, s.changes.c.seq == s.taken.c.seq)
        .join(s.boards, s.boards.c.id == s.taken.c.board)
        .where(s.changes.c.undone_by.is_(None))
        .group_by(s.boards.c.species, s.taken.c.kind)
    )
    found: dict[str, tuple[int, int]] = {}
    for row in connection.execute(query):
        cut, lost = found.get(row.species, (0, 0))
        found[row.species] = (cut + row.pieces, lost + (row.pieces if row.kind == "spoiled" else 0))
    return found


def opened_boards(connection: Connection) -> list[tuple[RackBoard, int]]:
    """See `Rack.opened_boards`; bookings that were undone left out, and offcuts, whose flaws were their board's."""
    query = select(s.cuttings.c.board).join(s.changes, s.changes.c.seq == s.cuttings.c.seq).where(s.changes.c.undone_by.is_(None))
    records = store.by_id(connection, connection.execute(query).scalars())
    bought = (r for r in records.values() if r.origin is None)
    return [(r, sum(booking.FOUND in d.notes for d in r.board.defects)) for r in bought]


def pieces_taken(connection: Connection, board: str) -> list[TakenPiece]:
    """What a board that was cut gave, in the plan's order; empty where none was booked, or the booking was undone."""
    query = (
        select(s.taken)
        .join(s.changes, s.changes.c.seq == s.taken.c.seq)
        .where(s.taken.c.board == board, s.changes.c.undone_by.is_(None))
        .order_by(s.taken.c.no)
    )
    return [_piece(row) for row in connection.execute(query)]


def _piece(row: Row[Any]) -> TakenPiece:
    return TakenPiece(row.piece, row.part, row.kind, **_exact(row, _SIZES), layer=row.layer)


def _exact(row: Row[Any], columns: Sequence[str]) -> dict[str, Any]:
    return {c: from_text(getattr(row, c)) for c in columns}
