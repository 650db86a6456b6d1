"""Photos that arrive in parts and may break off at any: what has come lies beside the rack until the photo is whole."""

from __future__ import annotations

import hashlib
import os
import time
from contextlib import suppress
from pathlib import Path

from yieldopt.ground.errors import UsageError, YieldoptError
from yieldopt.ground.locking import locked
from yieldopt.rack.books.photos import LARGEST_IN_BYTES

# Parts of photos that nobody went on with for so long are thrown away, and the oldest ones where there are too many.
KEPT_SECONDS = 7 * 86_400
MOST_BYTES = 256 * 1024 * 1024


class OtherPlace(YieldoptError):
    """A part that does not begin where the ones before it end; `have` bytes are there."""

    def __init__(self, have: int) -> None:
        super().__init__(f"{have} bytes of this photo are there; go on from there")
        self.have = have


class Parts:
    """What has come of each photo, by board and SHA-256 of the whole; one writer at a time, in whatever process."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def have(self, board: str, digest: str) -> int:
        """Bytes that are there already; of a photo that was kept its size."""
        with suppress(OSError, ValueError):
            return int(self._kept(board, digest).read_text(encoding="ascii"))
        return self._size(digest)

    def add(self, digest: str, size: int, at: int, part: bytes) -> int:
        """Take in the part that begins at `at`; bytes that are there then.

        Raises `OtherPlace`, `UsageError` for a photo that is too large, `OSError` (what was there before is there still).
        """
        if size > LARGEST_IN_BYTES:
            raise UsageError(f"the photo has {size:,} bytes; at most {LARGEST_IN_BYTES:,} are kept")
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with locked(self.folder / ".lock"):
            have = self._size(digest)
            if at != have or at + len(part) > size:
                raise OtherPlace(have)
            if part:
                self._make_room(digest, len(part))
                self._append(digest, have, part)
            return have + len(part)

    def _append(self, digest: str, have: int, part: bytes) -> None:
        with open(self._path(digest), "ab") as f:
            try:
                f.write(part)
                f.flush()
            except OSError:
                # Half a part would be taken for the beginning of the next.
                os.ftruncate(f.fileno(), have)
                raise

    def whole(self, digest: str) -> bytes:
        """The photo. Raises `UsageError` where the parts don't make it; they are thrown away then."""
        try:
            content = self._path(digest).read_bytes()
        except FileNotFoundError:
            content = b""
        if hashlib.sha256(content).hexdigest() != digest:
            self._path(digest).unlink(missing_ok=True)
            raise UsageError("the parts of this photo don't fit together; it has to be sent again")
        return content

    def done(self, board: str, digest: str, size: int) -> None:
        """The photo is kept elsewhere: its parts go, and who sends it once more is told that it is there."""
        with suppress(OSError):
            self._kept(board, digest).write_text(str(size), encoding="ascii")
        self._path(digest).unlink(missing_ok=True)

    def _path(self, digest: str) -> Path:
        return self.folder / f"{digest}.part"

    def _kept(self, board: str, digest: str) -> Path:
        return self.folder / f"{digest}.{board}.kept"

    def _size(self, digest: str) -> int:
        try:
            return self._path(digest).stat().st_size
        except FileNotFoundError:
            return 0

    def _make_room(self, mine: str, more: int) -> None:
        files = [(p.stat().st_mtime, p.stat().st_size, p) for p in self.folder.iterdir() if p.suffix in (".part", ".kept")]
        total = more + sum(size for _, size, _ in files)
        for when, size, path in sorted(files):
            if path == self._path(mine) or (total <= MOST_BYTES and when > time.time() - KEPT_SECONDS):
                continue
            path.unlink(missing_ok=True)
            total -= size
