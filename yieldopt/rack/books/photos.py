"""Photos looked at before they are kept: a real picture of a common kind, of bearable size, whole."""

from __future__ import annotations

import hashlib
import io
import warnings
from pathlib import Path

from sqlalchemy import Connection, insert, select

from yieldopt.ground.errors import UsageError
from yieldopt.rack.board.record import Photo
from yieldopt.rack.db import schema as s
from yieldopt.reading.cells import unprintable

# A phone's photo has 3 to 8 MB and 12 to 50 million pixels.
LARGEST_IN_BYTES = 20 * 1024 * 1024
LARGEST_IN_PIXELS = 120_000_000
KINDS = ("JPEG", "PNG", "WEBP")
ENDINGS = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp"}


def look_at(name: str, content: bytes, most_pixels: int = LARGEST_IN_PIXELS) -> Photo:
    """The photo if it is one, of no more than `most_pixels`: decoded to its end, so that a cut-off or disguised file is found.

    Raises `UsageError`.
    """
    from PIL import Image

    if not name or unprintable(name) or len(name) > 200 or any(c in name for c in "/\\;") or name.startswith("."):
        raise UsageError(f"{name[:60]!r} is not a name for a photo: expected a file name of printable characters")
    if len(content) > LARGEST_IN_BYTES:
        raise UsageError(f"{name}: the photo has {len(content):,} bytes; at most {LARGEST_IN_BYTES:,} are kept")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=KINDS) as image:
                width, height, kind = image.width, image.height, str(image.format)
                # The header says how large it would unpack: judged before anything is unpacked.
                if width * height > most_pixels:
                    raise UsageError(
                        f"{name}: the photo would unpack to {width} by {height} pixels; at most {most_pixels:,} are taken"
                    )
                if kind == "JPEG":
                    # Enough to find every fault of the stream at a fraction of the memory.
                    image.draft("RGB", (max(1, width // 8), max(1, height // 8)))
                image.load()
    except UsageError:
        raise
    except Exception as error:
        # Pillow's decoders raise many kinds for a file that is not what it claims; each means the same to the user.
        raise UsageError(
            f"{name}: this can't be read as a photo ({type(error).__name__}); expected JPEG, PNG or WebP"
        ) from error
    return Photo(name, kind, width, height, content, hashlib.sha256(content).hexdigest())


def read(path: Path) -> Photo:
    """The photo in a file. Raises `UsageError`."""
    try:
        with path.open("rb") as f:
            content = f.read(LARGEST_IN_BYTES + 1)
    except OSError as error:
        raise UsageError(f"{path}: {error.strerror}") from error
    except ValueError as error:
        # A path that no file system takes: NUL, lone surrogates.
        raise UsageError(f"{str(path)[:60]!r}: expected the name of a file") from error
    return look_at(path.name, content)


def keep(connection: Connection, photo: Photo) -> None:
    """Store the bytes once, whatever boards show them."""
    if connection.execute(select(s.photos.c.digest).where(s.photos.c.digest == photo.digest)).first() is None:
        connection.execute(
            insert(s.photos).values(
                digest=photo.digest,
                kind=photo.kind,
                width=photo.width_in_pixels,
                height=photo.height_in_pixels,
                content=photo.content,
            )
        )


def fetch(connection: Connection, digest: str, name: str = "") -> Photo | None:
    """The photo of this digest, or None."""
    row = connection.execute(select(s.photos).where(s.photos.c.digest == digest)).one_or_none()
    return None if row is None else Photo(name, row.kind, row.width, row.height, row.content, row.digest)
