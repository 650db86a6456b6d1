"""Bytes that are no UTF-8 to text, where only one of the encodings that spreadsheets save in can have been meant."""

from __future__ import annotations

import codecs
import unicodedata

# What spreadsheets save CSV in when they don't save UTF-8: Western and Central European Windows, older Macintosh.
CANDIDATES = {"cp1252": "Western European (Windows)", "cp1250": "Central European (Windows)", "mac_roman": "Macintosh"}
# Marks that stand with figures: fractions, primes and quotes, degrees, dashes, the multiplication sign.
_BY_FIGURES = frozenset("½¼¾⅛⅜⅝⅞″′”“’‘×°–—\u00a0")
# Ligatures that only printers set.
_PRINTERS = frozenset("ﬁﬂ")
_ELSEWHERE = frozenset("”“’‘–—\u00a0€£§®™•…«»")


def decoded(data: bytes) -> tuple[str, str] | None:
    """The text and the name of its encoding, in words; None where the bytes could be read in more than one way, or in none.

    A reading counts as possible where every character beyond ASCII is a Latin letter inside a word, or a mark where such a
    mark stands. UTF-16 says what it is by its first two bytes.
    """
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        try:
            return data.decode("utf-16"), "UTF-16"
        except UnicodeDecodeError:
            return None
    readings: dict[str, str] = {}
    for encoding, name in CANDIDATES.items():
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if _plausible(text):
            readings.setdefault(text, name)
    return next(iter(readings.items())) if len(readings) == 1 else None


def _plausible(text: str) -> bool:
    return all(_stands_well(text, i) for i, c in enumerate(text) if not c.isascii())


def _stands_well(text: str, i: int) -> bool:
    c, before, after = text[i], text[i - 1 : i], text[i + 1 : i + 2]
    if unicodedata.category(c) in ("Ll", "Lu") and unicodedata.name(c, "").startswith("LATIN") and c not in _PRINTERS:
        # A letter beside a figure, or a capital after a small letter, is a mark or a letter of another encoding.
        return not (before.isdigit() or after.isdigit() or (c.isupper() and before.islower()))
    return c in _ELSEWHERE or (c in _BY_FIGURES and any(x.isdigit() or x in " '-" for x in (before, after)))
