"""Atomic writes: a file is there whole or not at all, and a folder's files appear together."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path


def write_atomically(path: Path, content: str | bytes) -> None:
    """Write `content` to `path` through a temporary file in the same folder, synced before it takes the name.

    Raises `OSError` and leaves what was there before if the disk is full or the folder can't be written.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    data = content.encode("utf-8") if isinstance(content, str) else content
    handle, temporary = tempfile.mkstemp(prefix=f".{path.name[:40]}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as f:
            f.write(data)
            f.flush()
            os.fsync(f.fileno())
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def write_all_atomically(folder: Path, contents: Mapping[str, str | bytes]) -> None:
    """Write several files below `folder`; each is atomic, and none is replaced before all have been written once."""
    staged: list[tuple[Path, Path]] = []
    try:
        for name, content in contents.items():
            path = folder / name
            staging = path.with_name(f".{path.name[:40]}.new")
            write_atomically(staging, content)
            staged.append((staging, path))
        for staging, path in staged:
            os.replace(staging, path)
    except BaseException:
        for staging, _ in staged:
            staging.unlink(missing_ok=True)
        raise
