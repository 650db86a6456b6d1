"""What changed on a rack since somebody looked last, in pages: first every board, from then on what the ledger touched.

A cursor is text. `b:ROW:SEQ:MARK` stands in the first reading: boards up to ROW were given, and SEQ was the ledger's newest line
when it began. `c:SEQ:NO:MARK` stands behind it: what was touched up to board NO of line SEQ was given. MARK is a fingerprint of
line SEQ: where it doesn't fit, the rack is another one (a backup brought back), and all is given anew.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, and_, func, or_, select

from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.books.ledger import digest, newest
from yieldopt.rack.db import schema as s
from yieldopt.rack.db import store

_CURSOR = re.compile(r"([bc]):(\d{1,18}):(-?\d{1,18}):([0-9a-f]{16})")
# Behind the last board of a line, however many it has.
_END = 10**9


@dataclass(frozen=True)
class News:
    """One page. `gone` are ids; `left` is how many are to come after it, `total` the boards on the rack."""

    boards: Sequence[RackBoard]
    gone: Sequence[str]
    cursor: str
    more: bool
    left: int
    total: int
    # The cursor given was none of this rack: this is the first page of everything.
    anew: bool


def page(connection: Connection, cursor: str, most: int) -> News:
    """What follows `cursor` ("": from the beginning), at most `most` boards."""
    on_rack = select(func.count()).select_from(s.boards).where(s.boards.c.state == "on rack")
    total = int(connection.execute(on_rack).scalar_one())
    found = _CURSOR.fullmatch(cursor)
    kind, first, second = (found[1], int(found[2]), int(found[3])) if found else ("", 0, 0)
    line = second if kind == "b" else first
    if found and _mark(connection, line) == found[4]:
        follow = _every if kind == "b" else _since
        return follow(connection, first, second, most, total)
    return _every(connection, 0, newest(connection), most, total, bool(cursor))


def _mark(connection: Connection, seq: int) -> str:
    c = s.changes.c
    row = connection.execute(select(c.at, c.who, c.what, c.remark).where(c.seq == seq)).one_or_none()
    return digest(str(seq), *([] if row is None else map(str, row)))[:16]


def _every(connection: Connection, row: int, seq: int, most: int, total: int, anew: bool = False) -> News:
    b = s.boards.c
    behind = (b.state == "on rack", b.row > row)
    rows = list(connection.execute(select(b.row).where(*behind).order_by(b.row).limit(most)).scalars())
    boards = store.fetch(connection, select(s.boards).where(*behind).order_by(b.row).limit(most)) if rows else []
    left = int(connection.execute(select(func.count()).select_from(s.boards).where(*behind)).scalar_one()) - len(rows)
    mark = _mark(connection, seq)
    if left:
        return News(boards, (), f"b:{rows[-1]}:{seq}:{mark}", True, left, total, anew)
    later = _touched(connection, seq, _END)
    return News(boards, (), f"c:{seq}:{_END}:{mark}", later > 0, later, total, anew)


def _since(connection: Connection, seq: int, no: int, most: int, total: int) -> News:
    c = s.change_boards.c
    query = select(c.seq, c.no, c.board).where(_behind(seq, no)).order_by(c.seq, c.no).limit(most)
    rows = connection.execute(query).all()
    if not rows:
        return News((), (), f"c:{seq}:{no}:{_mark(connection, seq)}", False, 0, total, False)
    ids = list(dict.fromkeys(r.board for r in rows))
    there = {i: r for i, r in store.by_id(connection, ids).items() if r.state == "on rack"}
    last = rows[-1]
    left = _touched(connection, last.seq, last.no)
    cursor = f"c:{last.seq}:{last.no}:{_mark(connection, last.seq)}"
    return News(list(there.values()), [i for i in ids if i not in there], cursor, left > 0, left, total, False)


def _behind(seq: int, no: int) -> ColumnElement[bool]:
    c = s.change_boards.c
    return or_(c.seq > seq, and_(c.seq == seq, c.no > no))


def _touched(connection: Connection, seq: int, no: int) -> int:
    return int(connection.execute(select(func.count()).select_from(s.change_boards).where(_behind(seq, no))).scalar_one())
