"""The ledger: every change with who, when, and each board whole before and after; and how the last one is taken back."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select, update

from yieldopt.rack.board import record
from yieldopt.rack.board.errors import BoardHeld, KeyReused, NameTaken, Refused
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.books import holding
from yieldopt.rack.db import schema as s
from yieldopt.rack.db import store

# How many boards of a large change (a whole rack loaded) a list of changes tells of.
FIRST_STEPS = 20
# Changes that undo passes over: a hold has its own way back (release).
NOT_UNDONE = ("hold", "release", "undo")


@dataclass(frozen=True, slots=True)
class Step:
    """One board in a change: whole before and after. None: it was not there; both None: its record was not touched."""

    board: str
    before: RackBoard | None
    after: RackBoard | None

    @property
    def name(self) -> str:
        """The name it bore then; "" where the record was not touched."""
        known = self.after or self.before
        return known.name if known else ""


@dataclass(frozen=True, slots=True)
class Change:
    """One line of the ledger."""

    seq: int
    # UTC, ISO 8601 with milliseconds and Z.
    at: str
    who: str
    # "log", "load", "correct", "retire", "split", "cut", "photo", "hold", "release" or "undo".
    what: str
    remark: str
    # All of them, or as many as were asked for: see `changes`.
    steps: tuple[Step, ...] = ()
    # How many boards it touched.
    boards: int = 0
    undone_by: int | None = None
    undoes: int | None = None


@dataclass(frozen=True, slots=True)
class Author:
    """Who makes a change and when; `key` makes a repeat of it harmless."""

    who: str
    at: str
    key: str | None = None


def digest(*texts: str) -> str:
    """A fingerprint of what a keyed change says."""
    return hashlib.sha256("\x00".join(texts).encode("utf-8", "surrogatepass")).hexdigest()


def repeated(connection: Connection, key: str | None, fingerprint: str) -> int | None:
    """The earlier change of this key, None for a new one. Raises `KeyReused` if that one said something else."""
    if key is None:
        return None
    row = connection.execute(select(s.changes.c.seq, s.changes.c.key_digest).where(s.changes.c.key == key)).one_or_none()
    if row is None:
        return None
    if row.key_digest != fingerprint:
        raise KeyReused(key)
    return int(row.seq)


def newest(connection: Connection) -> int:
    """Number of the newest line; 0 where there is none."""
    return int(connection.execute(select(func.coalesce(func.max(s.changes.c.seq), 0))).scalar_one())


def before(connection: Connection, key: str | None) -> list[RackBoard] | None:
    """The boards of the change of this key as they were before it; None where there is no such change."""
    if key is None:
        return None
    seq = connection.execute(select(s.changes.c.seq).where(s.changes.c.key == key)).scalar_one_or_none()
    return None if seq is None else [t.before for t in _steps(connection, [seq])[seq] if t.before is not None]


def write(
    connection: Connection,
    author: Author,
    what: str,
    after: Mapping[str, RackBoard | None],
    *,
    before: Mapping[str, RackBoard],
    remark: str = "",
    fingerprint: str | None = None,
    undoes: int | None = None,
) -> int:
    """Store the boards as they are after a change, and the change; the number of the change.

    `before` has the boards of `after` that are there now. Raises `NameTaken`.
    """
    _keep_names_apart(connection, after)
    store.put(connection, after)
    seq = _line(connection, author, what, remark, fingerprint, undoes)
    rows = [
        {
            "seq": seq,
            "no": no,
            "board": i,
            "before": record.dumps(before[i]) if i in before else None,
            "after": record.dumps(r) if r else None,
        }
        for no, (i, r) in enumerate(after.items())
    ]
    if rows:
        connection.execute(insert(s.change_boards), rows)
    return seq


def mention(connection: Connection, author: Author, what: str, ids: Iterable[str], remark: str) -> int:
    """A line about boards whose records stay as they are (holds)."""
    seq = _line(connection, author, what, remark, None, None)
    rows = [{"seq": seq, "no": no, "board": i, "before": None, "after": None} for no, i in enumerate(ids)]
    if rows:
        connection.execute(insert(s.change_boards), rows)
    return seq


def _line(connection: Connection, author: Author, what: str, remark: str, fingerprint: str | None, undoes: int | None) -> int:
    values = {
        "at": author.at,
        "who": author.who,
        "what": what,
        "remark": remark,
        "key": author.key,
        "key_digest": fingerprint,
        "undone_by": None,
        "undoes": undoes,
    }
    key = connection.execute(insert(s.changes).values(**values)).inserted_primary_key
    assert key is not None
    return int(key[0])


def _keep_names_apart(connection: Connection, after: Mapping[str, RackBoard | None]) -> None:
    wanted: dict[str, str] = {}
    twice = []
    for i, r in after.items():
        if r is not None and r.state == "on rack":
            if r.name in wanted:
                twice.append(r.name)
            wanted[r.name] = i
    if twice:
        raise NameTaken(twice)
    names = list(wanted)
    for start in range(0, len(names), 900):
        query = select(s.boards.c.id, s.boards.c.name).where(
            s.boards.c.state == "on rack", s.boards.c.name.in_(names[start : start + 900])
        )
        twice += [row.name for row in connection.execute(query) if row.id not in after]
    if twice:
        raise NameTaken(sorted(twice, key=names.index))


def undo(connection: Connection, author: Author, now: int, seq: int | None = None) -> int:
    """Take back change `seq`, or the last one that is not taken back yet; the number of the new change.

    Raises `Refused` where there is none, where later changes touched the same boards, or where a board it would take off the
    rack is held (`BoardHeld`).
    """
    query = select(s.changes).where(s.changes.c.undone_by.is_(None), s.changes.c.what.not_in(NOT_UNDONE))
    query = query.where(s.changes.c.seq == seq) if seq is not None else query.order_by(s.changes.c.seq.desc()).limit(1)
    row = connection.execute(query).one_or_none()
    if row is None:
        raise Refused(
            "there is nothing to undo"
            if seq is None
            else f"change {seq} can't be undone: there is no such change, or it was undone"
        )
    steps = _steps(connection, [row.seq])[row.seq]
    now_there = store.by_id(connection, [step.board for step in steps])
    moved = [step.name for step in steps if _text(now_there.get(step.board)) != _text(step.after)]
    if moved:
        raise Refused(f"change {row.seq} can't be undone: {', '.join(moved)} changed since; undo the later changes first")
    leaving = [
        step.board
        for step in steps
        if step.after and step.after.state == "on rack" and (not step.before or step.before.state != "on rack")
    ]
    held = holding.in_force(connection, now, leaving)
    if held:
        raise BoardHeld([(now_there[i].name, h.job) for i, h in held.items()])
    back = {step.board: step.before for step in steps}
    remark = f"{row.what} of {', '.join(step.name for step in steps[:5])}{' …' if len(steps) > 5 else ''}"
    new = write(connection, author, "undo", back, before=now_there, remark=remark, undoes=row.seq)
    connection.execute(update(s.changes).where(s.changes.c.seq == row.seq).values(undone_by=new))
    return new


# Changes that end the holds of their boards.
ENDS_HOLDS = ("cut", "retire", "split")


def held_before(connection: Connection, seq: int) -> dict[str, str]:
    """By board the job that held it when change `seq` ended its hold, as far as the ledger tells; none for other changes."""
    ended = connection.execute(select(s.changes.c.what).where(s.changes.c.seq == seq)).scalar_one_or_none()
    if ended not in ENDS_HOLDS:
        return {}
    steps, c = s.change_boards.c, s.changes.c
    boards = select(steps.board).where(steps.seq == seq)
    query = (
        select(steps.board, c.what, c.remark)
        .join(s.changes, c.seq == steps.seq)
        .where(steps.board.in_(boards), c.seq < seq, c.what.in_(("hold", "release", *ENDS_HOLDS)))
        .order_by(c.seq)
    )
    last = {row.board: (row.what, row.remark) for row in connection.execute(query)}
    return {board: remark.removeprefix("for ") for board, (what, remark) in last.items() if what == "hold"}


def _text(r: RackBoard | None) -> str | None:
    return None if r is None else record.dumps(r)


def changes(
    connection: Connection, board: str | None = None, most: int | None = None, seqs: Iterable[int] | None = None
) -> list[Change]:
    """The ledger's lines, newest first: all, or those of given numbers, or those about one board's id.

    A line about one board has that board's step only; one of `seqs` has all its steps; of others the first `FIRST_STEPS`.
    """
    query = select(s.changes).order_by(s.changes.c.seq.desc())
    if board is not None:
        query = query.where(s.changes.c.seq.in_(select(s.change_boards.c.seq).where(s.change_boards.c.board == board)))
    if seqs is not None:
        query = query.where(s.changes.c.seq.in_(list(seqs)))
    if most is not None:
        query = query.limit(most)
    rows = connection.execute(query).all()
    found = [row.seq for row in rows]
    steps = _steps(connection, found, board, None if board or seqs is not None else FIRST_STEPS)
    counts = _counts(connection, found)
    return [_change(row, steps.get(row.seq, ()), counts.get(row.seq, 0)) for row in rows]


def _change(row: Row[Any], steps: tuple[Step, ...], boards: int) -> Change:
    return Change(row.seq, row.at, row.who, row.what, row.remark, steps, boards, row.undone_by, row.undoes)


def _counts(connection: Connection, seqs: list[int]) -> dict[int, int]:
    found: dict[int, int] = {}
    c = s.change_boards.c
    for start in range(0, len(seqs), 900):
        query = select(c.seq, func.count()).where(c.seq.in_(seqs[start : start + 900])).group_by(c.seq)
        found.update((row[0], row[1]) for row in connection.execute(query))
    return found


def _steps(
    connection: Connection, seqs: list[int], board: str | None = None, first: int | None = None
) -> dict[int, tuple[Step, ...]]:
    found: dict[int, list[Step]] = {seq: [] for seq in seqs}
    c = s.change_boards.c
    for start in range(0, len(seqs), 900):
        query = select(s.change_boards).where(c.seq.in_(seqs[start : start + 900])).order_by(c.seq, c.no)
        if board is not None:
            query = query.where(c.board == board)
        if first is not None:
            query = query.where(c.no < first)
        for row in connection.execute(query):
            before, after = (record.loads(text) if text else None for text in (row.before, row.after))
            found[row.seq].append(Step(row.board, before, after))
    return {seq: tuple(steps) for seq, steps in found.items()}
