"""Making a rack and bringing an older one to today's tables, through the Alembic steps in `migrations/`."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.exc import DBAPIError

from yieldopt.rack.board.errors import DamagedRack, ForeignFile, NewerRack
from yieldopt.rack.db import engine as engines
from yieldopt.rack.db import rackfile
from yieldopt.rack.db.filecopy import copy_file
from yieldopt.rack.db.schema import HEAD


def migrate(connection: Connection, to: str = "head") -> None:
    """Run the missing steps inside the caller's transaction: all of them or none."""
    from alembic import command

    config = _config()
    config.attributes["connection"] = connection
    command.upgrade(config, to)


def _config() -> "Config":  # type: ignore[name-defined]  # noqa: F821, UP037
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent.parent / "migrations").replace("%", "%%"))
    return config


def steps() -> tuple[str, ...]:
    """The names of all steps, oldest first."""
    from alembic.script import ScriptDirectory

    return tuple(s.revision for s in reversed(list(ScriptDirectory.from_config(_config()).walk_revisions())))


def version(connection: Connection, where: str) -> str | None:
    """The rack's version; None where there are no tables at all. Raises `ForeignFile` where there are other tables."""
    tables = set(inspect(connection).get_table_names())
    if "alembic_version" not in tables or "change_boards" not in tables:
        if tables:
            raise ForeignFile(where, "its tables are another program's")
        return None
    try:
        rows = connection.execute(text("SELECT version_num FROM alembic_version")).scalars().all()
    except DBAPIError as error:
        raise DamagedRack(where, "its version can't be read") from error
    if len(rows) != 1:
        raise DamagedRack(where, "its version is not one line")
    return str(rows[0])


def create_file(path: Path, to: str = "head") -> None:
    """Make an empty rack at `path`: whole, or not at all. If another process made one meanwhile, that one stays."""
    staged = rackfile.staging_path(path)
    try:
        with closing(sqlite3.connect(staged)) as connection:
            connection.execute(f"PRAGMA application_id = {rackfile.APPLICATION_ID}")
            connection.execute("PRAGMA journal_mode = WAL")
        engine = engines.file_engine(staged)
        with engines.writing(engine, str(path)) as connection:
            migrate(connection, to)
        rackfile.sync_file(staged)
        rackfile.place_new(path, staged)
    finally:
        for name in (staged.name, staged.name + "-wal", staged.name + "-shm"):
            staged.with_name(name).unlink(missing_ok=True)


def bring_to_today(engine: Engine, where: str, create: bool) -> bool:
    """Check the version and run missing steps; True if the rack is there. A newer one raises `NewerRack`.

    An older file is copied to FILE.before-VERSION first.
    """
    with engines.reading(engine, where) as connection:
        found = version(connection, where)
    if found == HEAD:
        return True
    if found is None and not create:
        return False
    if found is not None and found not in steps():
        raise NewerRack(where, found)
    if found is not None and not engines.is_url(where):
        kept = Path(f"{where}.before-{found}")
        if not kept.exists():
            copy_file(Path(where), kept)
    with engines.writing(engine, where) as connection:
        if version(connection, where) != HEAD:
            migrate(connection)
    return True
