"""A rack's file copied while others may write in it."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from yieldopt.rack.board.errors import Refused
from yieldopt.rack.db import engine as engines
from yieldopt.rack.db import rackfile


def copy_file(source: Path, target: Path, replace: bool = False) -> None:
    """Copy a rack file while others may write, as one consistent state; `target` is whole, durable, or not there.

    Raises `Refused` if `target` exists, unless `replace`.
    """
    if target.exists() and not replace:
        raise Refused(f"{target} exists already; it was left as it was")
    rackfile.inspect(source, thorough=True)
    staged = rackfile.staging_path(target)
    try:
        old = sqlite3.connect(rackfile.uri(source, mode="ro"), uri=True, timeout=engines.PATIENCE)
        with closing(old), closing(sqlite3.connect(staged)) as new:
            old.backup(new)
        rackfile.inspect(staged, thorough=True)
        rackfile.sync_file(staged)
        if replace:
            os.replace(staged, target)
            rackfile.sync_folder(target.parent)
        elif not rackfile.place_new(target, staged):
            raise Refused(f"{target} exists already; it was left as it was")
    finally:
        tidy(staged)


def tidy(staged: Path) -> None:
    """Remove a copy that did not come to be, and what SQLite laid beside it."""
    for ending in ("", "-wal", "-shm", "-journal"):
        staged.with_name(staged.name + ending).unlink(missing_ok=True)
