"""A look at everything: the database's own check, and every board against the ledger."""

from __future__ import annotations

import hashlib

from sqlalchemy import Connection, select, text

from yieldopt.rack.board import record
from yieldopt.rack.db import schema as s
from yieldopt.rack.db import store


def check(connection: Connection) -> list[str]:
    """What is wrong, in words; empty if all is well.

    The ledger holds each board whole after its last change, so a board whose rows say something else was changed behind it.
    """
    found = []
    if connection.dialect.name == "sqlite":
        lines = connection.execute(text("PRAGMA integrity_check")).scalars().all()
        found += [f"database: {line}" for line in lines if line != "ok"]
        found += [
            f"database: a row of {row[0]} refers to a row of {row[2]} that is not there"
            for row in connection.execute(text("PRAGMA foreign_key_check"))
        ]
    c = s.change_boards.c
    # In the order of the changes, so that each board's last word stays; holds have no say.
    said = select(c.board, c.after).where((c.before.is_not(None)) | (c.after.is_not(None))).order_by(c.seq, c.no)
    last = {row.board: row.after for row in connection.execute(said)}
    there = {r.id: r for r in store.fetch(connection, select(s.boards).where(s.boards.c.state != store.TAKEN_BACK))}
    for i, after in last.items():
        now = there.pop(i, None)
        if after is not None and now is None:
            found.append(f"board {record.loads(after).name} ({i}) is in the ledger and not on the rack")
        elif now is not None and record.dumps(now) != after:
            found.append(f"board {now.name} ({i}) differs from the ledger's last word on it")
    found += [f"board {r.name} ({i}) is on the rack and not in the ledger" for i, r in there.items()]
    for row in connection.execution_options(yield_per=10).execute(select(s.photos.c.digest, s.photos.c.content)):
        if hashlib.sha256(row.content).hexdigest() != row.digest:
            found.append(f"photo {row.digest[:12]} is damaged")
    return found
