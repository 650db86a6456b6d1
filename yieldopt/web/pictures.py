"""Pictures from phones: one is unpacked at a time, so that many at once take no more memory than one; codes on them are read."""

from __future__ import annotations

import hashlib
import io
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from yieldopt.ground.errors import UsageError
from yieldopt.rack.board.record import Photo
from yieldopt.rack.books import photos
from yieldopt.web.asking import Busy
from yieldopt.web.placeless import NoPicture, without_writing

# What a phone sends is 1,600 pixels long; a picture that its camera took as it is has up to 50 million. Unpacked, 150 MB.
MOST_PIXELS = 50_000_000
# A code that fills a tenth of the picture still has two pixels a module at this size.
CODE_PIXELS = 2000
# Seconds to wait for another picture.
PATIENCE = 30.0
_DECODER = threading.Lock()


@contextmanager
def _alone() -> Iterator[None]:
    if not _DECODER.acquire(timeout=PATIENCE):
        raise Busy("other pictures are being looked at; try again in a moment")
    try:
        yield
    finally:
        _DECODER.release()


def take_in(name: str, content: bytes) -> Photo:
    """A phone's photo as it is kept: looked at to its end, without place, time and device. Raises `UsageError`, `Busy`."""
    with _alone():
        looked = photos.look_at(name, content, MOST_PIXELS)
    try:
        bare = without_writing(content, looked.kind)
    except NoPicture as error:
        raise UsageError(f"{name}: this can't be read as a photo ({error}); expected JPEG, PNG or WebP") from error
    return replace(looked, content=bare, digest=hashlib.sha256(bare).hexdigest())


def read_code(content: bytes) -> str:
    """What the code on a picture says. Raises `UsageError` for what is no picture or shows no code, `Busy`."""
    import zxingcpp
    from PIL import Image

    with _alone():
        photos.look_at("phone.photo", content, MOST_PIXELS)
        with Image.open(io.BytesIO(content)) as picture:
            # A JPEG is unpacked smaller from the start; anything is read in shades of grey.
            picture.draft("L", (CODE_PIXELS, CODE_PIXELS))
            grey = picture.convert("L")
        grey.thumbnail((2 * CODE_PIXELS, 2 * CODE_PIXELS))
        codes = zxingcpp.read_barcodes(grey)
    found = [c for c in codes if c.format == zxingcpp.BarcodeFormat.QRCode]
    if not found:
        raise UsageError("no code was found in the picture; come nearer, or type what is printed there")
    return str(found[0].text)
