"""A power cut through SQLite's own file layer: a VFS (sqlite.org/vfs.html) that passes everything on and writes down each
write, truncation and sync of the files it opened, in order. From such a record the state of the disk after a cut at any
moment is made: what was synced is there; of what was not, any part may be, sector by sector.

`sqlite3_vfs` and `sqlite3_io_methods` as in sqlite3.h; only the members used are named. It is registered in the SQLite
library that Python's own module uses, so the code under test runs unchanged.
"""

from __future__ import annotations

import ctypes
import random
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

SECTOR = 512


def library() -> ctypes.CDLL | None:
    """The shared SQLite library that this process has loaded; None where it is built in."""
    import sqlite3

    sqlite3.connect(":memory:").close()
    found = re.search(r"(/\S*libsqlite3\S*)", Path("/proc/self/maps").read_text()) if Path("/proc/self/maps").exists() else None
    return ctypes.CDLL(found[1]) if found else None


_P = ctypes.c_void_p
_WRITE = ctypes.CFUNCTYPE(ctypes.c_int, _P, _P, ctypes.c_int, ctypes.c_int64)
_TRUNCATE = ctypes.CFUNCTYPE(ctypes.c_int, _P, ctypes.c_int64)
_SYNC = ctypes.CFUNCTYPE(ctypes.c_int, _P, ctypes.c_int)
# The name goes on as the pointer it came as: SQLite keeps it, and a copy would be gone by then.
_OPEN = ctypes.CFUNCTYPE(ctypes.c_int, _P, _P, _P, ctypes.c_int, ctypes.POINTER(ctypes.c_int))
_DELETE = ctypes.CFUNCTYPE(ctypes.c_int, _P, ctypes.c_char_p, ctypes.c_int)


class IoMethods(ctypes.Structure):
    _fields_ = [
        ("version", ctypes.c_int), ("close", _P), ("read", _P), ("write", _WRITE), ("truncate", _TRUNCATE), ("sync", _SYNC),
        ("rest", _P * 14),
    ]  # fmt: skip


class File(ctypes.Structure):
    _fields_ = [("methods", ctypes.POINTER(IoMethods))]


class Vfs(ctypes.Structure):
    _fields_ = [
        ("version", ctypes.c_int), ("file_size", ctypes.c_int), ("path_length", ctypes.c_int), ("next", _P),
        ("name", ctypes.c_char_p), ("data", _P), ("open", _OPEN), ("delete", _DELETE), ("rest", _P * 16),
    ]  # fmt: skip


@dataclass
class Record:
    """What happened to the files of one folder, in order."""

    folder: str
    # (file name, "write" | "truncate" | "sync" | "delete" | "mark", offset or size, bytes)
    events: list[tuple[str, str, int, bytes]] = field(default_factory=list)

    def mark(self, name: str) -> None:
        """The program was told that `name` is stored."""
        self.events.append((name, "mark", 0, b""))


@contextmanager
def recording(record: Record) -> Iterator[None]:
    """Make the recording VFS the default while this lasts."""
    sqlite = library()
    assert sqlite is not None
    sqlite.sqlite3_vfs_find.restype = ctypes.POINTER(Vfs)
    original = sqlite.sqlite3_vfs_find(None)
    names: dict[int, str] = {}
    kept: list[Any] = []
    wrapped: dict[int, IoMethods] = {}
    real: dict[int, IoMethods] = {}

    def write(file: int, data: int, count: int, offset: int) -> int:
        record.events.append((names[file], "write", offset, ctypes.string_at(data, count)))
        return int(real[file].write(file, data, count, offset))

    def truncate(file: int, size: int) -> int:
        record.events.append((names[file], "truncate", size, b""))
        return int(real[file].truncate(file, size))

    def sync(file: int, flags: int) -> int:
        status = int(real[file].sync(file, flags))
        record.events.append((names[file], "sync", 0, b""))
        return status

    def open_file(vfs: int, path: int | None, file: int, flags: int, out: Any) -> int:
        status = int(original.contents.open(ctypes.cast(original, _P), path, file, flags, out))
        handle = ctypes.cast(file, ctypes.POINTER(File)).contents
        name = ctypes.string_at(path).decode(errors="replace") if path else ""
        if status == 0 and name.startswith(record.folder):
            address = ctypes.addressof(handle.methods.contents)
            names[file], real[file] = Path(name).name, handle.methods.contents
            if address not in wrapped:
                copy = IoMethods.from_buffer_copy(handle.methods.contents)
                copy.write, copy.truncate, copy.sync = callbacks
                # Version 2 has the shared memory of the log; 3 adds memory-mapped pages, which would go past `write`.
                copy.version = min(copy.version, 2)
                wrapped[address] = copy
            handle.methods = ctypes.pointer(wrapped[address])
        return status

    def delete(vfs: int, path: bytes, sync_folder: int) -> int:
        if path.decode().startswith(record.folder):
            record.events.append((Path(path.decode()).name, "delete", 0, b""))
        return int(original.contents.delete(ctypes.cast(original, _P), path, sync_folder))

    callbacks = (_WRITE(write), _TRUNCATE(truncate), _SYNC(sync))
    shim = Vfs.from_buffer_copy(original.contents)
    shim.name, shim.next, shim.open, shim.delete = b"power cut", None, _OPEN(open_file), _DELETE(delete)
    kept.extend([callbacks, shim])
    sqlite.sqlite3_vfs_register(ctypes.byref(shim), 1)
    try:
        yield
    finally:
        sqlite.sqlite3_vfs_register(original, 1)
        sqlite.sqlite3_vfs_unregister(ctypes.byref(shim))


def after_cut(record: Record, moment: int, start: dict[str, bytes], rng: random.Random) -> tuple[dict[str, bytes], list[str]]:
    """The files as they may be after a cut before event `moment`, and the names that were confirmed by then.

    `start`: the files when the recording began. Writes since a file's last sync arrive or not, each sector by itself.
    """
    files = {name: bytearray(content) for name, content in start.items()}
    pending: dict[str, list[tuple[str, int, bytes]]] = {}
    confirmed = []

    def apply(name: str, kind: str, at: int, data: bytes) -> None:
        content = files.setdefault(name, bytearray())
        if kind == "truncate":
            del content[at:]
        else:
            content.extend(bytes(max(0, at + len(data) - len(content))))
            content[at : at + len(data)] = data

    for name, kind, at, data in record.events[:moment]:
        if kind == "mark":
            confirmed.append(name)
        elif kind == "sync":
            for event in pending.pop(name, []):
                apply(name, *event)
        elif kind == "delete":
            # Names are synced by the folder; a log is deleted only when all in it is synced to the rack itself.
            files.pop(name, None)
            pending.pop(name, None)
        else:
            pending.setdefault(name, []).append((kind, at, data))
    fate = rng.choice(["none", "all", "some"])
    for name, events in pending.items():
        for kind, at, data in events:
            if kind == "truncate":
                if fate == "all" or (fate == "some" and rng.random() < 0.5):
                    apply(name, kind, at, data)
                continue
            for piece in range(0, len(data), SECTOR):
                if fate == "all" or (fate == "some" and rng.random() < 0.5):
                    apply(name, "write", at + piece, data[piece : piece + SECTOR])
    return {name: bytes(content) for name, content in files.items()}, confirmed
