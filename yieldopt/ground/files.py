"""Atomic writes: a file is there whole or not at all, and a folder's files appear together."""

from __future__ import annotations

import json
import os
import tempfile
import zlib
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path


def write_atomically(path: Path, content: str | bytes, mode: int = 0o644) -> None:
    """Write `content` to `path` through a temporary file in the same folder, synced before it takes the name; `mode` is who
    may read it.

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
        os.chmod(temporary, mode)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


# Enough that it needs a block of the disk of its own.
_ATTEMPT = b"?" * 8192


def why_not_written(folder: Path) -> OSError | None:
    """What keeps a file from being written in `folder`, found by trying; None where one could be."""
    try:
        with tempfile.TemporaryFile(dir=folder) as attempt:
            attempt.write(_ATTEMPT)
    except OSError as error:
        return error
    return None


# Names the files of a write of several that is decided: until it is gone the write is to be finished.
DECIDED = ".decided"


def write_all_atomically(folder: Path, contents: Mapping[str, str | bytes]) -> None:
    """Write several files below `folder` so that all of them are new or none is.

    All are written under other names first; then one file that lists them decides. After a crash before that nothing has
    changed; after it `finish_writing` does the rest, which whoever reads such a folder calls first.
    """
    finish_writing(folder)
    staged: list[Path] = []
    try:
        for name, content in contents.items():
            staging = _staging(folder / name)
            write_atomically(staging, content)
            staged.append(staging)
        write_atomically(folder / DECIDED, json.dumps(list(contents)))
    except BaseException:
        for staging in staged:
            staging.unlink(missing_ok=True)
        raise
    finish_writing(folder)


def finish_writing(folder: Path) -> None:
    """Bring to its end a write of several files that a crash broke off; nothing to do where there was none."""
    decided = folder / DECIDED
    try:
        names = json.loads(decided.read_text(encoding="utf-8"))
    except (FileNotFoundError, NotADirectoryError):
        return
    for name in names:
        with suppress(FileNotFoundError):  # it has its name already
            os.replace(_staging(folder / name), folder / name)
    decided.unlink(missing_ok=True)


def _staging(path: Path) -> Path:
    # Long names may begin alike.
    return path.with_name(f".{path.name[:40]}.{zlib.crc32(path.name.encode()):08x}.new")
