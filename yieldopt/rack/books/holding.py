"""Boards held for jobs: one hold a board, whoever asks first; a hold ends by itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, delete, insert, select

from yieldopt.rack.board.errors import BoardHeld, NotOnRack
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.books import search
from yieldopt.rack.db import schema as s

# A planner's hold lasts this long after its last sign of life unless it asks for another time; a job's hold a season.
PLANNER_SECONDS = 15 * 60
JOB_SECONDS = 90 * 24 * 3600


@dataclass(frozen=True, slots=True)
class Hold:
    """One board held. `board` is its id."""

    board: str
    job: str
    # The planner's token while it plans; None: held for the job itself.
    token: str | None
    who: str
    # UTC, ISO 8601.
    taken_at: str
    # Seconds since 1970, UTC; past it the hold counts as released.
    until: int


def in_force(connection: Connection, now: int, ids: Iterable[str] | None = None) -> Mapping[str, Hold]:
    """Holds that have not run out at `now` (seconds since 1970), by board id; of these boards, or all."""
    wanted = None if ids is None else set(ids)
    if wanted is not None and not wanted:
        return {}
    query = select(s.holds).where(s.holds.c.until > now)
    if wanted is not None and len(wanted) <= 900:
        query = query.where(s.holds.c.board.in_(wanted))
    rows = connection.execute(query).all()
    return {
        r.board: Hold(r.board, r.job, r.token, r.who, r.taken_at, r.until) for r in rows if wanted is None or r.board in wanted
    }


def binds(hold: Hold, job: str | None, token: str | None) -> bool:
    """Whether a hold keeps `job` from the board: another job's does, and so does another planner's of the same job."""
    return hold.job != job or (hold.token is not None and hold.token != token)


def take(connection: Connection, names: Mapping[str, str], hold: Hold, now: int) -> None:
    """Hold all boards of `names` (id -> name) as `hold` says, or raise `BoardHeld` and hold none.

    A planner leaves what its own job holds already as it is: should it fail, the job's earlier plan still has its boards.
    """
    held = in_force(connection, now, names)
    others = [(names[i], h.job) for i, h in held.items() if binds(h, hold.job, hold.token)]
    if others:
        raise BoardHeld(others)
    wanted = [i for i in names if hold.token is None or i not in held or held[i].token is not None]
    let_go(connection, wanted)
    rows = [
        {"board": i, "job": hold.job, "token": hold.token, "who": hold.who, "taken_at": hold.taken_at, "until": hold.until}
        for i in wanted
    ]
    if rows:
        connection.execute(insert(s.holds), rows)


def let_go(connection: Connection, ids: Iterable[str]) -> None:
    """Release these boards, held or not."""
    rows = [{"which": i} for i in ids]
    if rows:
        connection.execute(delete(s.holds).where(s.holds.c.board == bindparam("which")), rows)


def free(connection: Connection, names: Sequence[str], job: str | None, now: int) -> dict[str, RackBoard]:
    """The boards of these names, all on the rack and none held for others; raises `NoSuchBoard`, `NotOnRack`, `BoardHeld`."""
    records = search.named(connection, list(names), gone_too=True)
    gone = [(n, r.state) for n, r in records.items() if r.state != "on rack"]
    if gone:
        raise NotOnRack(gone)
    held = in_force(connection, now, [r.id for r in records.values()])
    others = [(r.name, held[r.id].job) for r in records.values() if r.id in held and held[r.id].job != job]
    if others:
        raise BoardHeld(others)
    return records
