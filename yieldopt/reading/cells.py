"""Cells that a spreadsheet would take for a formula, and characters that no name may hold.

A spreadsheet runs a cell that starts with `=`, `+`, `-` or `@`. A text that starts so is written with an apostrophe
before it, and one apostrophe before such a start is taken off again when it is read; texts that already start with
apostrophes and then such a sign get one more, so that every text comes back as it was. Lengths and numbers are written bare.
"""

from __future__ import annotations

import re
import unicodedata

_LIVE = re.compile(r"'*[=+\-@\t\r]")
_HARMLESS = re.compile(r"'+[=+\-@\t\r]")

# Marks that turn the writing direction or take no room: two names could look alike and differ.
_UNSEEN = frozenset("\u200b\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069\ufeff\u2028\u2029\u0085")


def harmless(text: str) -> str:
    """The text as it may stand in a spreadsheet cell."""
    return "'" + text if _LIVE.match(text) else text


def as_meant(cell: str) -> str:
    """The text that `harmless` made `cell` from."""
    return cell[1:] if _HARMLESS.match(cell) else cell


def unprintable(text: str, line_breaks: bool = False) -> str | None:
    """The first character that can't be printed, as `U+0007`; None if there is none. `line_breaks` allows \\n and \\t."""
    for c in text:
        if line_breaks and c in "\n\t":
            continue
        if c in _UNSEEN or unicodedata.category(c) in ("Cc", "Cs") or c in "\ufffe\uffff":
            return f"U+{ord(c):04X}"
    return None
