"""One at a time on this machine, in whatever process: a lock on a file that ends with its holder, however that ends."""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import NoReturn

from yieldopt.ground.errors import YieldoptError
from yieldopt.ground.files import why_not_written

# Seconds to wait for another holder, who reads and writes a small file.
PATIENCE = 20.0


class LockedElsewhere(YieldoptError):
    """Another program kept the lock for longer than anybody should have to wait."""


@contextmanager
def locked(path: Path, patience: float = PATIENCE) -> Iterator[None]:
    """Hold the lock at `path`, an empty file that is made if it is not there, while the block runs.

    Raises `LockedElsewhere` after `patience` seconds, `OSError` where the file can't be made or written.
    """
    with closing(_taken(path, patience)) as lock:
        try:
            yield
        finally:
            lock.rollback()


def _taken(path: Path, patience: float) -> sqlite3.Connection:
    # A database's lock works alike on every system. The file is opened by SQLite alone: closing it in any other way would let
    # go of the lock that another thread of this process may hold.
    try:
        lock = sqlite3.connect(path, timeout=patience, isolation_level=None)
        try:
            lock.execute("BEGIN EXCLUSIVE")
        except BaseException:
            lock.close()
            raise
    except sqlite3.OperationalError as error:
        if "locked" not in str(error):
            _say_why(path)
        raise LockedElsewhere(f"{path.parent}: another program is at work here; try again") from error
    return lock


def _say_why(path: Path) -> NoReturn:
    """Raise the `OSError` that SQLite's message hides: no room, no permission, no folder."""
    raise why_not_written(path.parent) or PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
