"""Connections and transactions, the same for SQLite and PostgreSQL; knows nothing of boards.

A write transaction is alone from its first statement (SQLite: BEGIN IMMEDIATE; PostgreSQL: an advisory lock), so what it
reads stays true until it commits. Reads see one state of the rack throughout.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.pool import NullPool

from yieldopt.ground.errors import UsageError
from yieldopt.ground.files import why_not_written
from yieldopt.rack.board.errors import DamagedRack, ForeignFile, RackOutOfReach
from yieldopt.rack.board.exact import Unreadable
from yieldopt.rack.db import rackfile

# How long a writer waits for others, in seconds: fifty writers of a small shop's rack need a few at most.
PATIENCE = 60


def is_url(where: str) -> bool:
    """Whether `where` names a database server rather than a file."""
    return "://" in where


def file_engine(path: Path, read_only: bool = False) -> Engine:
    """An engine for a rack file that has been inspected. Raises nothing before it is used."""
    import sqlite3

    # A reader opens the file as a writer would where it may, so that it tidies the log away after itself, and is kept from
    # writing by a pragma; on a read-only file or folder SQLite is told so.
    may_write = os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)
    options = {"mode": "rw" if may_write or not read_only else "ro"}
    if not may_write and read_only and not path.with_name(path.name + "-wal").exists():
        options["immutable"] = "1"

    def connect() -> sqlite3.Connection:
        return sqlite3.connect(
            rackfile.uri(path, **options), uri=True, timeout=PATIENCE, isolation_level=None, check_same_thread=False
        )

    # One connection a transaction, closed after: cheap for a file, and safe in threads and after a fork.
    engine = create_engine("sqlite://", creator=connect, poolclass=NullPool)
    event.listen(engine, "connect", _set_pragmas)
    if read_only:
        event.listen(engine, "connect", _only_read)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _set_pragmas(connection: Any, _record: Any) -> None:
    # FULL with the write-ahead log: the log is synced at each commit, so a power cut takes nothing that was confirmed.
    for pragma in ("foreign_keys = ON", "synchronous = FULL", "trusted_schema = OFF", "cell_size_check = ON"):
        connection.execute(f"PRAGMA {pragma}")
    # SQLite's own knows ASCII only: a search for "ärger" would not find "Ärger".
    connection.create_function("lower", 1, _lower, deterministic=True)


def _lower(text: Any) -> Any:
    return text.lower() if isinstance(text, str) else text


def _only_read(connection: Any, _record: Any) -> None:
    connection.execute("PRAGMA query_only = ON")


def _begin_sqlite(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE" if connection.get_execution_options().get("writes") else "BEGIN")


def server_engine(where: str) -> Engine:
    """An engine for a PostgreSQL rack. Raises `UsageError` for an address it can't use."""
    try:
        url = make_url(where)
        if url.get_backend_name() != "postgresql":
            raise UsageError(f"a rack is a file or a postgresql:// address, not {url.get_backend_name()}://")
        return create_engine(url.set(drivername="postgresql+psycopg"), poolclass=NullPool, connect_args={"connect_timeout": 10})
    except (ArgumentError, ValueError) as error:
        raise UsageError("this is not the address of a database; expected postgresql://user@host/name") from error
    except (ModuleNotFoundError, NoSuchModuleError) as error:
        raise UsageError("a rack in PostgreSQL needs the extra: pip install 'yieldopt[postgres]'") from error


@contextmanager
def writing(engine: Engine, where: str) -> Iterator[Connection]:
    """A transaction that is alone; committed at the end, or rolled back whole. Durable once this returns."""
    with user_errors(where), engine.connect().execution_options(writes=True) as connection, connection.begin():
        if engine.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(hashtext('yieldopt rack ' || current_schema()))"))
        yield connection


@contextmanager
def reading(engine: Engine, where: str) -> Iterator[Connection]:
    """A transaction that sees one state of the rack and changes nothing."""
    with user_errors(where), engine.connect() as connection:
        if engine.dialect.name == "postgresql":
            connection = connection.execution_options(isolation_level="REPEATABLE READ")
        with connection.begin():
            yield connection


@contextmanager
def user_errors(where: str) -> Iterator[None]:
    """Reword the database errors that a user can mend; anything else is our bug and keeps its own traceback."""
    try:
        yield
    except Unreadable as error:
        raise DamagedRack(_shown(where), str(error)) from error
    except UnicodeDecodeError as error:
        # Python's sqlite3 can't even word SQLite's complaint where that quotes a damaged name.
        raise DamagedRack(_shown(where), "a name in it can't be read") from error
    except DBAPIError as error:
        reworded = _reworded(error, _shown(where))
        if reworded is None:
            raise
        raise reworded from error


def _shown(where: str) -> str:
    return make_url(where).render_as_string(hide_password=True) if is_url(where) else where


NO_ROOM, READ_ONLY = "there is no room left on the disk", "it is read-only"
_SQLITE_SAYS = (
    ("full", NO_ROOM),
    ("readonly", READ_ONLY),
    ("locked", "another program keeps it locked"),
    ("disk i/o", "the disk can't be written or read"),
    ("unable to open", "it can't be opened"),
)


def _by_trying(where: str) -> str | None:
    """What the disk says itself, where SQLite knows no more than that it failed: its log did not fit, or can't be made."""
    found = None if is_url(where) else why_not_written(Path(where).parent)
    if found is None:
        return None
    return NO_ROOM if found.errno in (errno.ENOSPC, errno.EDQUOT) else READ_ONLY if found.errno == errno.EROFS else found.strerror


def _reworded(error: DBAPIError, where: str) -> Exception | None:
    said = str(error.orig).lower()
    kind = type(error.orig)
    if "malformed" in said or "corrupt" in said:
        return DamagedRack(where, str(error.orig))
    if "file is not a database" in said:
        return ForeignFile(where, str(error.orig))
    if kind.__module__.startswith("sqlite3"):
        if kind.__name__ == "IntegrityError":
            # Names and identities are looked up before anything is written, so on a sound rack this can't be.
            return DamagedRack(where, f"the change does not fit what is stored: {error.orig}")
        if kind.__name__ != "OperationalError":
            return None
        words = next((words for sign, words in _SQLITE_SAYS if sign in said), None)
        if words is not None and words not in (NO_ROOM, READ_ONLY):
            words = _by_trying(where) or words
        known = words and RackOutOfReach(where, words)
        # What else can stop a statement that works on a sound rack: texts or table definitions damaged within sound pages.
        return known or DamagedRack(where, str(error.orig))
    if kind.__name__ in (
        "OperationalError",
        "ConnectionTimeout",
        "AdminShutdown",
        "DiskFull",
        "ReadOnlySqlTransaction",
        "InsufficientPrivilege",
    ):
        return RackOutOfReach(where, str(error.orig).strip().splitlines()[0] if str(error.orig).strip() else kind.__name__)
    return None
