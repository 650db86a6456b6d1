"""A rack's SQLite file looked at before SQLite may touch it, and made whole or not at all.

The header is read as plain bytes (SQLite file format, section 1.3: magic at 0, page size at 16, change counter at 24, page
count at 28, application id at 68, version valid for at 92), so that a file which is something else stays as it was.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path
from urllib.parse import quote

from yieldopt.rack.board.errors import DamagedRack, ForeignFile, RackOutOfReach

# "YRac": says that a SQLite file is a rack.
APPLICATION_ID = 0x59526163
MAGIC = b"SQLite format 3\x00"
HEADER_BYTES = 100
# Up to this size (about 4,000 boards) every opening runs SQLite's quick check, some 1.4 ms a MB. Above it `yieldopt rack
# check`, backup and restore do, and SQLite itself refuses a damaged page when it meets one.
LARGEST_QUICK_CHECK = 8 * 1024 * 1024


def uri(path: Path, **options: str) -> str:
    """A `file:` address for SQLite; the options are its own, such as mode=ro."""
    query = "&".join(f"{k}={v}" for k, v in options.items())
    return f"file:{quote(str(path.absolute()))}{'?' if query else ''}{query}"


def inspect(path: Path, thorough: bool = False) -> None:
    """Raise `ForeignFile` or `DamagedRack` unless `path` is a sound rack; changes nothing. A large one is read from end to end
    only if `thorough`."""
    try:
        if not path.is_file():
            raise ForeignFile(str(path), "it is not a file")
        size = path.stat().st_size
        with path.open("rb") as f:
            header = f.read(HEADER_BYTES)
    except PermissionError as error:
        raise RackOutOfReach(str(path), "it may not be read") from error
    if size == 0:
        raise ForeignFile(str(path), "it is empty")
    if not header.startswith(MAGIC):
        raise ForeignFile(str(path), "it is not a SQLite database")
    if len(header) < HEADER_BYTES:
        raise DamagedRack(str(path), "it ends inside its header")
    if int.from_bytes(header[68:72], "big") != APPLICATION_ID:
        raise ForeignFile(str(path), "it is a database of another program")
    page = int.from_bytes(header[16:18], "big")
    page = 65536 if page == 1 else page
    pages = int.from_bytes(header[28:32], "big")
    # With a log beside it the file may be in the midst of taking that in (a power cut does this): then the log has the last
    # word, and the quick check reads through it.
    short = size % page != 0 or (header[24:28] == header[92:96] and size < pages * page)
    if page < 512 or (short and not _has_log(path)):
        raise DamagedRack(str(path), f"it should be {pages} pages of {page} bytes and is {size} bytes long")
    if thorough or size <= LARGEST_QUICK_CHECK:
        _quick_check(path)


def _has_log(path: Path) -> bool:
    """Whether there is something in the rack's write-ahead log."""
    try:
        return path.with_name(path.name + "-wal").stat().st_size > 0
    except OSError:
        return False


def _quick_check(path: Path) -> None:
    # Without a write-ahead log nobody is writing, and "immutable" keeps SQLite from making files beside the rack. Should
    # somebody begin to write meanwhile, pages may not fit each other: then the log is there and we look again through it.
    has_log = _has_log(path)
    said = _ask_quick_check(path, has_log)
    if said and not has_log and _has_log(path):
        said = _ask_quick_check(path, True)
    if said:
        raise DamagedRack(str(path), said)


def _ask_quick_check(path: Path, has_log: bool) -> str | None:
    options = {"mode": "ro"} if has_log else {"mode": "ro", "immutable": "1"}
    try:
        with closing(sqlite3.connect(uri(path, **options), uri=True, timeout=30)) as connection:
            said = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    except sqlite3.OperationalError as error:
        if "locked" in str(error) or "readonly" in str(error) or "unable to open" in str(error):
            # Another process is recovering the log, or the folder is read-only: not a matter of damage.
            return None
        return str(error)
    except sqlite3.DatabaseError as error:
        return str(error)
    except UnicodeDecodeError:
        # SQLite's complaint quotes a damaged name, which Python can't word.
        return "a name in it can't be read"
    return None if said == "ok" else str(said).splitlines()[-1]


def place_new(path: Path, staged: Path) -> bool:
    """Give the finished file `staged` the name `path` unless something bears it; True if it got it. `staged` is gone after."""
    try:
        # A link fails where a file is, in one step; a rename would replace it.
        os.link(staged, path)
        made = True
    except FileExistsError:
        made = False
    finally:
        staged.unlink(missing_ok=True)
    sync_folder(path.parent)
    return made


def staging_path(path: Path) -> Path:
    """A new empty file beside `path` to build a rack in. Raises `RackOutOfReach` where none can be made."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", suffix=".new", dir=path.parent)
        os.close(handle)
        os.chmod(name, 0o644)
    except OSError as error:
        raise RackOutOfReach(str(path), f"no file can be made in its folder ({error.strerror})") from error
    return Path(name)


def sync_file(path: Path) -> None:
    with path.open("rb+") as f:
        os.fsync(f.fileno())


def sync_folder(folder: Path) -> None:
    """Make new names in `folder` durable; some file systems can't, which is no error."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
