"""A whole rack copied: to one file, from a file or a server; and back."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import Connection, func, insert, select, text

from yieldopt.ground.errors import UsageError
from yieldopt.rack.board.errors import Refused
from yieldopt.rack.db import engine as engines
from yieldopt.rack.db import rackfile, upgrade
from yieldopt.rack.db import schema as s
from yieldopt.rack.db.filecopy import copy_file, tidy

_ROWS_AT_ONCE = 500


def restore_file(source: Path, target: Path) -> Path | None:
    """Put the backup `source` where the rack `target` is or was; what is there now is kept beside it, and its path returned.

    Raises `Refused` while another program has the rack open, and what `rackfile.inspect` raises of the backup.
    """
    rackfile.inspect(source, thorough=True)
    if source.absolute() == target.absolute():
        raise UsageError("the backup and the rack are the same file")
    # The new file is whole before the old one gives way.
    staged = target.with_name(f".{target.name[:40]}.restored")
    copy_file(source, staged, replace=True)
    kept: Path | None = None
    try:
        if target.exists():
            kept = _free_name(target)
            logs = [target.with_name(target.name + e) for e in ("-wal", "-shm")]
            if any(log.exists() and log.stat().st_size for log in logs) and not _fold_log(target):
                raise Refused(f"{target} is in use by another program; stop it and restore again")
            # What is left of its log belongs to the old file and would be played into the new one.
            for log in logs:
                if log.exists():
                    os.replace(log, kept.with_name(kept.name + log.name[len(target.name) :]))
            os.replace(target, kept)
        os.replace(staged, target)
        rackfile.sync_folder(target.parent)
    finally:
        staged.unlink(missing_ok=True)
    return kept


def _fold_log(path: Path) -> bool:
    """Whether the rack's log could be folded into it, which a writer at work prevents; a damaged rack is let through."""
    try:
        with closing(sqlite3.connect(rackfile.uri(path, mode="rw"), uri=True, timeout=1, isolation_level=None)) as connection:
            return bool(connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0] == 0)
    except sqlite3.OperationalError as error:
        return "locked" not in str(error)
    except sqlite3.DatabaseError:
        return True


def _free_name(path: Path) -> Path:
    number = 1
    while (kept := path.with_name(f"{path.name}.replaced-{number}")).exists():
        number += 1
    return kept


def copy_server(where: str, target: Path) -> None:
    """Copy a PostgreSQL rack into a new rack file. Raises `Refused` if `target` exists."""
    if target.exists():
        raise Refused(f"{target} exists already; it was left as it was")
    staged = rackfile.staging_path(target)
    try:
        staged.unlink()
        upgrade.create_file(staged)
        source, copy = engines.server_engine(where), engines.file_engine(staged)
        with engines.reading(source, where) as old, engines.writing(copy, str(target)) as new:
            copy_tables(old, new)
        with closing(sqlite3.connect(staged)) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        rackfile.sync_file(staged)
        if not rackfile.place_new(target, staged):
            raise Refused(f"{target} exists already; it was left as it was")
    finally:
        tidy(staged)


def fill_server(source: Path, where: str) -> None:
    """Bring a rack file into a PostgreSQL rack that is empty. Raises `Refused` if it has a ledger already."""
    rackfile.inspect(source, thorough=True)
    old, new = engines.file_engine(source, read_only=True), engines.server_engine(where)
    upgrade.bring_to_today(new, where, create=True)
    with engines.reading(old, str(source)) as before, engines.writing(new, where) as after:
        if upgrade.version(before, str(source)) != s.HEAD:
            raise Refused(f"{source} was made by an older version; open it once with `yieldopt rack list --rack {source}`")
        if after.execute(select(func.count()).select_from(s.changes)).scalar():
            raise Refused("the rack on the server is not empty; restore into a new database")
        copy_tables(before, after)


def copy_tables(source: Connection, target: Connection) -> None:
    """Every row of every table from one rack into another that is empty."""
    for table in s.ALL:
        rows = source.execution_options(yield_per=_ROWS_AT_ONCE).execute(select(table).order_by(*table.primary_key.columns))
        for batch in rows.mappings().partitions(_ROWS_AT_ONCE):
            target.execute(insert(table), [dict(row) for row in batch])
    if target.dialect.name == "postgresql":
        for name, column in (("boards", "row"), ("changes", "seq")):
            newest = f'(SELECT coalesce(max("{column}"), 0) + 1 FROM {name})'
            target.execute(text(f"SELECT setval(pg_get_serial_sequence('{name}', '{column}'), {newest}, false)"))
