"""Files and folders that can't be read or written, in a sentence; an output folder is tried before any work is done for it."""

from __future__ import annotations

import errno
from pathlib import Path

from yieldopt.ground.errors import UsageError
from yieldopt.ground.files import why_not_written

_SENTENCES = {
    errno.ENOENT: "{name}: it is not there",
    errno.ENOTDIR: "{name}: a part of that path is a file, where a folder was expected",
    errno.EEXIST: "{name}: there is a file of that name, where a folder was expected",
    errno.EISDIR: "{name}: it is a folder, where a file was expected",
    errno.EACCES: "{name}: you may not read or write it; choose another place, or have it opened to you",
    errno.EPERM: "{name}: you may not read or write it; choose another place, or have it opened to you",
    errno.EROFS: "{name}: it lies on a disk that can't be written; choose another place",
    errno.ENOSPC: "{name}: the disk is full; make room and try again",
}


def sentence(error: OSError) -> str:
    """What went wrong with which file, as a person says it."""
    name = error.filename if isinstance(error.filename, str) else ""
    known = _SENTENCES.get(error.errno or 0)
    if known is None or not name:
        return f"{error.strerror or error}{f': {name}' if name else ''}"
    return known.format(name=name)


def refuse_output(folder: Path, what: str = "--out") -> None:
    """Raise `UsageError` where nothing can be written in `folder`, which need not be there yet; leaves nothing behind."""
    there = next((p for p in (folder, *folder.parents) if p.exists()), Path("."))
    if not there.is_dir():
        raise UsageError(f"{what} {folder}: {there} is a file, expected a folder, there or new; nothing was written")
    error = why_not_written(there)
    if error is not None:
        why = (error.strerror or str(error)).lower()
        raise UsageError(f"{what} {folder}: nothing can be written in {there} ({why}); expected a folder that you may write in")
