"""Reading the code on a picture of a sheet."""

from __future__ import annotations

import io

from yieldopt.errors import UsageError
from yieldopt.rack import photos


def read_code(content: bytes) -> str:
    """What the code on a picture says. Raises `UsageError` for what is no picture, or shows no code."""
    import zxingcpp
    from PIL import Image

    photos.look_at("phone.photo", content)
    with Image.open(io.BytesIO(content)) as picture:
        codes = zxingcpp.read_barcodes(picture.convert("L"))
    found = [c for c in codes if c.format == zxingcpp.BarcodeFormat.QRCode]
    if not found:
        raise UsageError("no code was found in the picture; come nearer, or type the revision printed on the sheet")
    return str(found[0].text)
