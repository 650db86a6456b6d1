"""A photo without what the camera wrote beside the picture: place, time, device, small copies. The picture's own bytes stay.

Formats: JPEG (ITU-T T.81, markers in table B.1), PNG (W3C recommendation, third edition, chunks), WebP (RFC 9649, RIFF chunks).
Of the writing only the orientation (Exif 2.32, tag 0x0112) is kept, since a photo would lie on its side without it.
"""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Iterator

ORIENTATION = 0x0112
EXIF = b"Exif\0\0"
# JPEG: markers without a length; start of scan, end of image; application segments with writing, and comments.
_BARE = {0x01, *range(0xD0, 0xD8)}
_SOI, _EOI, _SOS, _APP0, _APP1, _APP2, _APP14, _APP15, _COM = 0xD8, 0xD9, 0xDA, 0xE0, 0xE1, 0xE2, 0xEE, 0xEF, 0xFE
# PNG: chunks that a picture needs or that say how it is to be shown; all else is writing.
_PNG_KEPT = frozenset(
    (b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"bKGD", b"pHYs")
)
_WEBP_KEPT = frozenset((b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ICCP"))
# VP8X flags of the chunks with writing.
_WEBP_EXIF, _WEBP_XMP = 0x08, 0x04


class NoPicture(ValueError):
    """The bytes are not built as their kind of file has to be."""


def without_writing(content: bytes, kind: str) -> bytes:
    """The same picture (`kind` is "JPEG", "PNG" or "WEBP") without the writing beside it. Raises `NoPicture`."""
    try:
        return {"JPEG": _jpeg, "PNG": _png, "WEBP": _webp}[kind](content)
    except (struct.error, IndexError) as error:
        raise NoPicture("it ends too early") from error


def _orientation(exif: bytes) -> int:
    from PIL import Image

    try:
        found = Image.Exif()
        found.load(exif)
        turned = found.get(ORIENTATION)
    except Exception:  # whatever a damaged block makes the reader raise, there is no orientation in it
        return 1
    return turned if isinstance(turned, int) and 2 <= turned <= 8 else 1


def _only(orientation: int) -> bytes:
    """An Exif block (little-endian TIFF, one entry) that says how the picture is to be turned."""
    return EXIF + b"II*\0" + struct.pack("<IHHHIHHI", 8, 1, ORIENTATION, 3, 1, orientation, 0, 0)


def _jpeg(content: bytes) -> bytes:
    out = io.BytesIO()
    out.write(b"\xff\xd8")
    at = 2
    while True:
        while content[at] == 0xFF and content[at + 1] == 0xFF:  # fill bytes
            at += 1
        if content[at] != 0xFF:
            raise NoPicture("a marker is missing")
        marker = content[at + 1]
        if marker == _EOI:
            out.write(b"\xff\xd9")
            return out.getvalue()
        if marker in _BARE:
            out.write(content[at : at + 2])
            at += 2
            continue
        (length,) = struct.unpack(">H", content[at + 2 : at + 4])
        body = content[at + 4 : at + 2 + length]
        if marker == _APP1 and body.startswith(EXIF):
            turned = _orientation(body)
            if turned != 1:
                block = _only(turned)
                out.write(b"\xff\xe1" + struct.pack(">H", len(block) + 2) + block)
        elif _belongs(marker, body):
            out.write(content[at : at + 2 + length])
        at += 2 + length
        if marker == _SOS:
            end = _scan_end(content, at)
            out.write(content[at:end])
            at = end


def _belongs(marker: int, body: bytes) -> bool:
    """Whether a segment is the picture's: of the application segments those that say how colours are meant."""
    if marker == _COM or _APP0 <= marker <= _APP15:
        return marker in (_APP0, _APP14) or (marker == _APP2 and body.startswith(b"ICC_PROFILE\0"))
    return True


def _scan_end(content: bytes, at: int) -> int:
    """Where the coded picture data ends: the next marker that is no stuffed byte and no restart."""
    while True:
        at = content.find(b"\xff", at)
        if at < 0:
            raise NoPicture("it ends too early")
        following = content[at + 1]
        if following != 0 and following != 0xFF and not 0xD0 <= following <= 0xD7:
            return at
        at += 1 if following == 0xFF else 2


def _png(content: bytes) -> bytes:
    out = io.BytesIO()
    out.write(content[:8])
    for kind, body in _chunks(content[8:], ">", True):
        if kind == b"eXIf":
            turned = _orientation(EXIF + body)
            if turned != 1:
                out.write(_png_chunk(kind, _only(turned)[len(EXIF) :]))
        elif kind in _PNG_KEPT:
            out.write(_png_chunk(kind, body))
        if kind == b"IEND":
            break
    return out.getvalue()


def _png_chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def _chunks(content: bytes, order: str, checked: bool) -> Iterator[tuple[bytes, bytes]]:
    """Kind and body of each chunk: of PNG (length, kind, body, check) or of RIFF (kind, length, body, padding)."""
    at = 0
    while at + 8 <= len(content):
        if checked:
            (length,) = struct.unpack(f"{order}I", content[at : at + 4])
            kind, begin = content[at + 4 : at + 8], at + 8
            following = begin + length + 4
        else:
            kind = content[at : at + 4]
            (length,) = struct.unpack(f"{order}I", content[at + 4 : at + 8])
            begin = at + 8
            following = begin + length + length % 2
        if begin + length > len(content):
            raise NoPicture("it ends too early")
        yield kind, content[begin : begin + length]
        at = following


def _webp(content: bytes) -> bytes:
    chunks = list(_chunks(content[12:], "<", False))
    turned = next((_orientation(_prefixed(data)) for kind, data in chunks if kind == b"EXIF"), 1)
    body = io.BytesIO()
    for kind, data in chunks:
        if kind == b"VP8X":
            left = data[0] & ~_WEBP_XMP
            data = bytes([left if turned != 1 else left & ~_WEBP_EXIF]) + data[1:]
        if kind in _WEBP_KEPT:
            body.write(_riff_chunk(kind, data))
    if turned != 1:
        body.write(_riff_chunk(b"EXIF", _only(turned)[len(EXIF) :]))
    return b"RIFF" + struct.pack("<I", len(body.getvalue()) + 4) + b"WEBP" + body.getvalue()


def _prefixed(exif: bytes) -> bytes:
    return exif if exif.startswith(EXIF) else EXIF + exif


def _riff_chunk(kind: bytes, data: bytes) -> bytes:
    return kind + struct.pack("<I", len(data)) + data + b"\0" * (len(data) % 2)
