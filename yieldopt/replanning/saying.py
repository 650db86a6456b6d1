"""One surprise in one line: which words may follow a name, taken apart but not yet judged.

rail#2: spoiled            W3: check on A at 31 1/2, 2 1/4, 3 x 1/8         rail: qty 5, length 22 1/2
W3: cut through 7          W3-a: knot after layer 1 at 3, 1, 1 x 3/4        new part shelf: qty 2, species ash, ...
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.ground.errors import LengthError
from yieldopt.ground.lengths import Units, parse_length
from yieldopt.wood.lumber import DEFECT_KINDS

_TIMES = r"\s*(?:x|×|\bby\b)\s*"
_BOX = rf"(?P<length>[^,]+?){_TIMES}(?P<width>[^,]+?)"
_PLACE = r"at\s+(?P<x>[^,]+?)\s*,\s*(?P<y>[^,]+?)"
_KINDS = "|".join(sorted(DEFECT_KINDS, key=len, reverse=True))
_FORMS = (
    ("done", re.compile(r"done|finished")),
    ("spoiled", re.compile(rf"spoiled(?:\s*,?\s*good\s+{_BOX}\s+{_PLACE})?")),
    ("cut through", re.compile(r"cut\s+through\s+(?P<order>\d{1,6})")),
    ("all cut", re.compile(r"all\s+cut")),
    ("unusable", re.compile(r"unusable")),
    ("left", re.compile(rf"left\s+{_BOX}\s+{_PLACE}")),
    ("size", re.compile(r"(?P<side>thick|long|wide)\s+(?P<size>.+)")),
    ("unpinned", re.compile(r"unpinned")),
    ("dropped", re.compile(r"dropped")),
    (
        "defect",
        re.compile(
            rf"(?P<kind>{_KINDS})(?:\s+on\s+(?P<face>[Aa]|[Bb]|both))?(?:\s+after\s+layer\s+(?P<layer>\d{{1,3}}))?\s+"
            rf"{_PLACE}\s*,\s*{_BOX}"
        ),
    ),
)
EXPECTED = (
    "done; unpinned; spoiled; spoiled, good L x W at X, Y; cut through N; all cut; unusable; left L x W at X, Y; thick T; "
    "long L; wide W; KIND on A, B or both at X, Y, L x W; KIND after layer N at X, Y, L x W; or for a part: dropped, "
    "or COLUMN VALUE, ..."
)


@dataclass(frozen=True)
class Said:
    """What a line says of a thing: the form, its words, and its lengths in inches."""

    form: str
    words: dict[str, str]
    lengths: dict[str, Fraction]


def said(text: str, units: Units) -> Said | None:
    """Take apart what follows a name; None where it has none of the forms. Raises `LengthError` for a faulty length."""
    text = " ".join(text.split())
    for form, pattern in _FORMS:
        m = pattern.fullmatch(text)
        if m is not None:
            words: dict[str, str] = {k: v for k, v in m.groupdict().items() if v is not None}
            named = {k: words.pop(k) for k in ("x", "y", "length", "width", "size") if k in words}
            lengths = {str(k): parse_length(v, units) for k, v in named.items()}
            for k in ("length", "width", "size"):
                if k in lengths and lengths[k] <= 0:
                    raise LengthError(named[k], "a length above 0")
            return Said(form, words, lengths)
    return None
