"""A rack opened: who works on it, its clock, its transactions."""

from __future__ import annotations

import getpass
import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy import Connection, Engine

from yieldopt.rack.board.errors import NoRack, RackOutOfReach
from yieldopt.rack.books.ledger import Author
from yieldopt.rack.db import engine, rackfile, upgrade


class OpenRack:
    """A rack's file or server. `where` is a file or a postgresql:// address. Safe to use from several threads."""

    def __init__(self, where: str, database: Engine, who: str, clock: Callable[[], float], read_only: bool) -> None:
        self.where = where
        self.who = who
        self.read_only = read_only
        self._engine = database
        self._clock = clock

    @classmethod
    def open(
        cls,
        where: str | Path,
        *,
        create: bool = False,
        read_only: bool = False,
        who: str | None = None,
        clock: Callable[[], float] = time.time,
    ) -> Self:
        """Open a rack, bringing an older one to today's tables; with `create` make it if it is not there.

        Raises `NoRack`, `ForeignFile`, `DamagedRack`, `NewerRack` or `RackOutOfReach`; the file is then as it was.
        """
        name = str(where)
        if engine.is_url(name):
            opened = engine.server_engine(name)
        else:
            path = Path(name)
            if not path.exists():
                if not create:
                    raise NoRack(name)
                upgrade.create_file(path)
            rackfile.inspect(path)
            opened = engine.file_engine(path, read_only)
        try:
            if not upgrade.bring_to_today(opened, name, create):
                raise NoRack(name)
        except BaseException:
            opened.dispose()
            raise
        return cls(name, opened, who or user_name(), clock, read_only)

    def by(self, who: str) -> Self:
        """The same rack for changes that somebody else makes; closed with this one."""
        return type(self)(self.where, self._engine, who, self._clock, self.read_only)

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    def _author(self, key: str | None = None) -> Author:
        return Author(self.who, self._stamp(), key)

    def _now(self) -> int:
        return int(self._clock())

    def _stamp(self) -> str:
        return datetime.fromtimestamp(self._clock(), UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")

    def _writing(self) -> AbstractContextManager[Connection]:
        if self.read_only:
            raise RackOutOfReach(self.where, "it was opened for reading only")
        return engine.writing(self._engine, self.where)

    def _reading(self) -> AbstractContextManager[Connection]:
        return engine.reading(self._engine, self.where)


def user_name() -> str:
    """Who works here, as the machine knows it."""
    try:
        return getpass.getuser()[:100]
    except (KeyError, OSError, ImportError):
        return "unknown"
