"""Finding boards: by name, and by what they are."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, Select, case, func, or_, select

from yieldopt.rack.board.errors import NoSuchBoard
from yieldopt.rack.board.exact import sort_key
from yieldopt.rack.board.record import RackBoard, State
from yieldopt.rack.db import schema as s
from yieldopt.rack.db import store


@dataclass(frozen=True, slots=True)
class BoardSearch:
    """What is looked for; None means "whatever". Sizes are least sizes in inches, exact."""

    species: str | None = None
    quarters: str | None = None
    sawn: str | None = None
    length: Fraction | None = None
    # Against the greatest width of an outline.
    width: Fraction | None = None
    thickness: Fraction | None = None
    dealer: str | None = None
    grade: str | None = None
    place: str | None = None
    # Words anywhere in name, remarks, place or dealer.
    text: str | None = None
    # None: boards that are gone too.
    state: State | None = "on rack"
    # True: only boards that no job holds; False: only held ones.
    free: bool | None = None
    # Boards held for this job.
    job: str | None = None
    most: int | None = None


def query(wanted: BoardSearch, now: int) -> Select[Any]:
    """The select for it; sizes are narrowed to a micrometre, `fits` decides exactly. `now`: seconds since 1970."""
    b = s.boards.c
    q = select(s.boards).where(b.state != store.TAKEN_BACK).order_by(b.row)
    if wanted.state is not None:
        q = q.where(b.state == wanted.state)
    if wanted.species is not None:
        q = q.where(b.species == " ".join(wanted.species.lower().split()))
    for column, value in ((b.quarters, wanted.quarters), (b.sawn, wanted.sawn)):
        if value is not None:
            q = q.where(column == value)
    for column, value in ((b.dealer, wanted.dealer), (b.grade, wanted.grade), (b.place, wanted.place)):
        if value is not None:
            q = q.where(func.lower(column) == func.lower(value))
    for um, least in ((b.length_um, wanted.length), (b.width_um, wanted.width), (b.thickness_um, wanted.thickness)):
        if least is not None:
            q = q.where(um >= sort_key(least))
    if wanted.text:
        # In one piece: on SQLite lowering calls back into Python, which is what takes the time. Nobody searches a line break.
        words = b.name + "\n" + b.remarks + "\n" + b.place + "\n" + b.dealer
        # The database lowers both sides: a server whose locale knows ASCII only still finds what is written alike.
        pattern = func.lower("%" + re.sub("([/%_])", r"/\1", wanted.text) + "%")
        q = q.where(func.lower(words).like(pattern, escape="/"))
    held = select(s.holds.c.board).where(s.holds.c.until > now)
    if wanted.job is not None:
        q = q.where(b.id.in_(held.where(s.holds.c.job == wanted.job)))
    if wanted.free is not None:
        q = q.where(b.id.not_in(held) if wanted.free else b.id.in_(held))
    return q if wanted.most is None else q.limit(wanted.most)


def fits(record: RackBoard, wanted: BoardSearch) -> bool:
    """Whether its exact sizes reach the least sizes."""
    b = record.board
    return all(
        least is None or size >= least
        for size, least in ((b.length, wanted.length), (b.greatest_width, wanted.width), (b.thickness, wanted.thickness))
    )


def named(connection: Connection, names: list[str], gone_too: bool = False) -> dict[str, RackBoard]:
    """Boards by what the user calls them: the name on the rack, the id, the first eight or more letters of the id, and with
    `gone_too` the last board of that name that left. Raises `NoSuchBoard` with all that are missing."""
    found: dict[str, RackBoard] = {}
    missing = []
    for name in dict.fromkeys(names):
        record = _one(connection, name, gone_too)
        if record is None:
            missing.append(name)
        else:
            found[name] = record
    if missing:
        raise NoSuchBoard(missing, _near(connection, missing[0]))
    return found


def _one(connection: Connection, name: str, gone_too: bool) -> RackBoard | None:
    b = s.boards.c
    there = b.state != store.TAKEN_BACK
    called = or_(b.name == name, b.id == name.lower())
    if len(name) >= 8 and all(c in "0123456789abcdef-" for c in name.lower()):
        called = or_(called, b.id.like(f"{name.lower()}%"))
    rank = case((b.state == "on rack", 0), else_=1)
    q = select(s.boards).where(there, called).order_by(case((b.name == name, 0), else_=1), rank, b.row.desc()).limit(1)
    records = store.fetch(connection, q)
    if not records or (records[0].state != "on rack" and not gone_too):
        return None
    return records[0]


def _near(connection: Connection, name: str) -> list[str]:
    known = list(connection.execute(select(s.boards.c.name).where(s.boards.c.state == "on rack")).scalars())
    return difflib.get_close_matches(name, known, n=3)


def children_query(parent: str) -> Select[Any]:
    """Boards that came from this one, on the rack or gone."""
    return select(s.boards).where(s.boards.c.parent == parent, s.boards.c.state != store.TAKEN_BACK).order_by(s.boards.c.row)


def last_logged(connection: Connection, who: str) -> RackBoard | None:
    """The board that `who` logged last and that is still known."""
    q = (
        select(s.boards)
        .join(s.change_boards, s.change_boards.c.board == s.boards.c.id)
        .join(s.changes, s.changes.c.seq == s.change_boards.c.seq)
        .where(s.changes.c.what == "log", s.changes.c.who == who, s.boards.c.state != store.TAKEN_BACK)
        .order_by(s.changes.c.seq.desc())
        .limit(1)
    )
    records = store.fetch(connection, q)
    return records[0] if records else None


def species(connection: Connection) -> frozenset[str]:
    """Every species that a board was ever logged with."""
    return frozenset(row[0] for row in connection.execute(select(s.boards.c.species).distinct()))
