"""The tables of a rack, as SQLAlchemy Core sees them today; `migrations/` says how older racks come to this.

Exact lengths and money are text (`15/2`). The `_um` columns repeat three of them as whole micrometres, rounded down, only
so that SQL can narrow a search and sort. Nothing is ever deleted but holds: boards that are gone stay with their state, and
the ledger (`changes`, `change_boards`) keeps the whole record before and after each change.
"""

from __future__ import annotations

from functools import cache

from sqlalchemy import BigInteger, Boolean, Column, ForeignKey, Index, Integer, LargeBinary, MetaData, String, Table, Text, text

metadata = MetaData()

# SQLite gives automatic numbers only to its plain INTEGER key; PostgreSQL should have the room of a bigint.
_Number = BigInteger().with_variant(Integer, "sqlite")

boards = Table(
    "boards",
    metadata,
    # Order of logging: the order of lists and dumps.
    Column("row", _Number, primary_key=True, autoincrement=True),
    Column("id", String(36), nullable=False, unique=True),
    Column("name", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("species", Text, nullable=False),
    Column("quarters", Text, nullable=False),
    *(Column(name, Text, nullable=False) for name in ("nominal", "length", "width", "thickness", "bow", "cup", "crook", "twist")),
    *(Column(name, BigInteger, nullable=False) for name in ("length_um", "width_um", "thickness_um")),
    Column("sawn", Text, nullable=False),
    Column("stress", Text, nullable=False),
    *(Column(name, Text, nullable=False, server_default="") for name in ("bow_hollow", "cup_hollow", "crook_hollow")),
    *(Column(name, Text) for name in ("cost", "price_bf", "price_m3")),
    Column("datum_sound", Boolean, nullable=False),
    Column("far_sound", Boolean, nullable=False),
    # Columns of a file that the package does not know, as a JSON object.
    Column("notes", Text, nullable=False),
    *(Column(name, Text, nullable=False) for name in ("dealer", "grade", "place", "remarks", "why")),
    # Meter readings in percent, exact, separated by blanks.
    Column("moisture", Text, nullable=False),
    # No foreign key: an offcut may be loaded from a file that lacks the board it came from.
    Column("parent", String(36)),
    Column("parent_x", Text),
    Column("parent_y", Text),
    Column("parent_layer", Integer),
    Column("parent_layers", Integer),
)
defects = Table(
    "defects",
    metadata,
    Column("board", String(36), ForeignKey("boards.id"), primary_key=True),
    Column("no", Integer, primary_key=True, autoincrement=False),
    Column("kind", Text, nullable=False),
    Column("face", Text, nullable=False),
    *(Column(name, Text, nullable=False) for name in ("x", "y", "length", "width")),
    Column("notes", Text, nullable=False),
)

edges = Table(
    "edges",
    metadata,
    Column("board", String(36), ForeignKey("boards.id"), primary_key=True),
    Column("no", Integer, primary_key=True, autoincrement=False),
    *(Column(name, Text, nullable=False) for name in ("x", "near", "far", "notes")),
)

thickness_points = Table(
    "thickness_points",
    metadata,
    Column("board", String(36), ForeignKey("boards.id"), primary_key=True),
    Column("no", Integer, primary_key=True, autoincrement=False),
    Column("x", Text, nullable=False),
    Column("thickness", Text, nullable=False),
)

changes = Table(
    "changes",
    metadata,
    Column("seq", _Number, primary_key=True, autoincrement=True),
    # UTC, ISO 8601 with milliseconds and Z.
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
    # "log", "load", "correct", "retire", "split", "cut", "photo", "hold", "release", "undo".
    Column("what", Text, nullable=False),
    Column("remark", Text, nullable=False),
    # Given by a caller that may repeat itself (a phone that was offline); the digest tells a repeat from a clash.
    Column("key", Text, unique=True),
    Column("key_digest", Text),
    # The change that took this one back, and the change this one took back.
    Column("undone_by", _Number),
    Column("undoes", _Number),
    sqlite_autoincrement=True,
)

change_boards = Table(
    "change_boards",
    metadata,
    Column("seq", _Number, ForeignKey("changes.seq"), primary_key=True),
    Column("no", Integer, primary_key=True, autoincrement=False),
    Column("board", String(36), nullable=False, index=True),
    # Whole records as JSON; NULL: was not there. Both NULL: the change did not touch the record (holds).
    Column("before", Text),
    Column("after", Text),
)

holds = Table(
    "holds",
    metadata,
    # The key is what keeps two planners apart: one hold a board, whoever writes.
    Column("board", String(36), ForeignKey("boards.id"), primary_key=True),
    Column("job", Text, nullable=False),
    # The planner that took it while it plans; NULL: held for the job itself.
    Column("token", Text),
    Column("who", Text, nullable=False),
    Column("taken_at", Text, nullable=False),
    # Seconds since 1970, UTC; a hold past it counts as released.
    Column("until", BigInteger, nullable=False),
)

photos = Table(
    "photos",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("kind", Text, nullable=False),
    Column("width", Integer, nullable=False),
    Column("height", Integer, nullable=False),
    Column("content", LargeBinary, nullable=False),
)

board_photos = Table(
    "board_photos",
    metadata,
    Column("board", String(36), ForeignKey("boards.id"), primary_key=True),
    Column("no", Integer, primary_key=True, autoincrement=False),
    Column("name", Text, nullable=False),
    Column("digest", String(64), ForeignKey("photos.digest"), nullable=False),
)

cuttings = Table(
    "cuttings",
    metadata,
    # One board cut for one job; counts unless its change was undone.
    Column("seq", _Number, ForeignKey("changes.seq"), primary_key=True),
    Column("board", String(36), ForeignKey("boards.id"), primary_key=True),
    Column("job", Text, nullable=False),
    # Cubic inches, exact: the board at its nominal thickness, its kept offcuts, finished parts; money likewise.
    *(Column(name, Text, nullable=False) for name in ("bought", "kept", "parts", "cost", "credit")),
)

taken = Table(
    "taken",
    metadata,
    Column("seq", _Number, primary_key=True),
    Column("board", String(36), primary_key=True),
    Column("no", Integer, primary_key=True, autoincrement=False),
    Column("piece", Text, nullable=False),
    Column("part", Text, nullable=False),
    # "part" or "spoiled".
    Column("kind", Text, nullable=False),
    *(Column(name, Text, nullable=False) for name in ("x", "y", "length", "width", "thickness")),
    Column("layer", Integer, nullable=False),
)

# Tables in an order in which they can be filled; a backup copies them all.
ALL: tuple[Table, ...] = (
    boards,
    photos,
    defects,
    edges,
    thickness_points,
    board_photos,
    changes,
    change_boards,
    holds,
    cuttings,
    taken,
)


@cache
def with_indexes() -> MetaData:
    """The tables with the indexes that the migrations give them, for comparing the two. Apart, because an index's options for
    one database load all that SQLAlchemy has for it, and every command would wait for that."""
    on_rack = text("state = 'on rack'")
    # A chalked name is used once on the rack, and may come back when its board is gone.
    Index("boards_name_on_rack", boards.c.name, unique=True, sqlite_where=on_rack, postgresql_where=on_rack)
    Index("boards_name", boards.c.name)
    Index("boards_kind", boards.c.state, boards.c.species, boards.c.quarters)
    Index("boards_parent", boards.c.parent)
    return metadata


# The newest revision in `migrations/versions`; a test keeps the two together.
HEAD = "0004"
