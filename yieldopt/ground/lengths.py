"""Exact lengths: what people type in, what the shop reads out.

Inside the package every length is a `fractions.Fraction` of an inch (1 in = 25.4 mm exactly: international
yard and pound agreement of 1959; NIST SP 811, appendix B.8). Nothing is rounded on the way in. Rounding
happens only in the functions below whose names say so, on the way out.
"""

from __future__ import annotations

import math
import re
import unicodedata
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from yieldopt.ground.errors import LengthError

Units = Literal["in", "mm"]

MM_PER_INCH = Fraction(254, 10)

# Longest length taken from a person, in inches (a mile is no board); guards against 1e999 and slips of the keyboard.
LARGEST = Fraction(10_000)

# Largest denominator, in inches, of a length taken from a person: finer than any float a spreadsheet hands over, and small
# enough that `as_typed` always fits `LONGEST` characters.
FINEST_TAKEN = 10**21

# Longest text read as a length, in characters.
LONGEST = 60

# Finest denominator in which the package prints fractions of an inch exactly.
FINEST = 64

EXPECTED = 'a length such as 7 3/8, 7-3/8", 7.375, 8\' 2-1/2" or 187mm'

_QUOTES = str.maketrans(
    {
        "”": '"',
        "“": '"',
        "″": '"',
        "’": "'",
        "‘": "'",
        "′": "'",
        "⁄": "/",
        "−": "-",
        "–": "-",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
    }
)
_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_MIXED = re.compile(rf"(?:(?P<whole>\d+)(?:\s*-\s*|\s+))?(?P<num>\d+)\s*/\s*(?P<den>\d+)|(?P<plain>{_NUMBER})")
_METRIC = re.compile(r"(?P<number>.+?)\s*(?P<unit>mm|cm)")
_IMPERIAL = re.compile(r"(?:(?P<feet>[^'\"]+?)\s*(?:'|ft\b\.?))?(?:\s*-?\s*(?P<inches>[^'\"]+?)\s*(?P<mark>\"|''|in\b\.?)?)?")


def parse_length(text: str, units: Units) -> Fraction:
    """Read a length as a person types it; the result is exact, in inches.

    A bare number is in `units`. Raises `LengthError` for anything else than one finite length of at most
    `LARGEST` inches and no finer than 1/`FINEST_TAKEN`; a leading minus is taken, since a near edge may lie below a snapped line.
    """
    return _parsed(text, units)


# A rack of thousands of boards repeats few lengths, and reading one is most of the work of reading a row.
@lru_cache(maxsize=50_000)
def _parsed(text: str, units: Units) -> Fraction:
    found = text
    s = unicodedata.normalize("NFC", str(text)).translate(_QUOTES).strip().lower()
    s = _spell_vulgar_fractions(s)
    if len(s) > LONGEST:
        raise LengthError(found[:LONGEST] + "…", EXPECTED)
    sign = 1
    if s[:1] in "+-" and s[:1]:
        sign = -1 if s[0] == "-" else 1
        s = s[1:].strip()
    value = _metric(s)
    if value is None and not s.startswith("-"):
        value = _imperial(s, units)
    if value is None:
        raise LengthError(found, EXPECTED)
    if value > LARGEST:
        raise LengthError(found, f"a length of at most {LARGEST} in")
    if value.denominator > FINEST_TAKEN:
        raise LengthError(found, f"a length with fewer decimals or a denominator of at most {FINEST}")
    return sign * value


def _spell_vulgar_fractions(s: str) -> str:
    """`7½` -> `7 1/2`: numeric characters that stand for a fraction become one in digits."""
    out = ""
    for c in s:
        if unicodedata.category(c) == "No" and unicodedata.numeric(c) % 1:
            f = Fraction(unicodedata.numeric(c)).limit_denominator(FINEST)
            out += f" {f.numerator}/{f.denominator} "
        else:
            out += c
    return out.strip() if out != s else s


def _number(s: str) -> Fraction | None:
    m = _MIXED.fullmatch(s.strip())
    if m is None or not s.isascii():
        return None
    if m["plain"] is not None:
        return Fraction(m["plain"])
    if int(m["den"]) == 0:
        return None
    return Fraction(int(m["whole"] or 0)) + Fraction(int(m["num"]), int(m["den"]))


def _metric(s: str) -> Fraction | None:
    m = _METRIC.fullmatch(s)
    if m is None:
        return None
    number = _number(m["number"])
    if number is None:
        return None
    return number * (10 if m["unit"] == "cm" else 1) / MM_PER_INCH


def _imperial(s: str, units: Units) -> Fraction | None:
    m = _IMPERIAL.fullmatch(s)
    if m is None or (m["feet"] is None and m["inches"] is None):
        return None
    feet = inches = Fraction(0)
    if m["feet"] is not None:
        number = _number(m["feet"])
        if number is None:
            return None
        feet = number
    if m["inches"] is not None:
        number = _number(m["inches"])
        if number is None:
            return None
        inches = number
    if m["feet"] is None and m["mark"] is None and units == "mm":
        inches /= MM_PER_INCH
    return feet * 12 + inches


def to_number(length: Fraction, units: Units) -> float | int:
    """The JSON number for a length, in the job's units; multiples of 1/64 in are exact in it."""
    value = length if units == "in" else length * MM_PER_INCH
    return value.numerator if value.denominator == 1 else float(value)


def from_number(number: float | int, units: Units) -> Fraction:
    """The length a JSON number stands for: the shortest decimal that prints as that number, taken exactly."""
    value = Fraction(repr(float(number))) if isinstance(number, float) else Fraction(number)
    return value if units == "in" else value / MM_PER_INCH


def in_fractions(length: Fraction, finest: int = FINEST) -> str:
    """Inches as the tape shows them: `7 3/8`, `-1/4`, `0`. Lengths finer than 1/`finest` are rounded to the
    nearest one and carry a leading `~`, so that a rounded figure can be told from an exact one."""
    rounded = Fraction(round(length * finest), finest)
    mark = "" if rounded == length else "~"
    sign = "-" if rounded < 0 else ""
    whole, rest = divmod(abs(rounded), 1)
    parts = [str(whole)] if whole or not rest else []
    if rest:
        parts.append(f"{rest.numerator}/{rest.denominator}")
    return f"{mark}{sign}{' '.join(parts)}"


def in_mm(length: Fraction, decimals: int = 1) -> str:
    """Millimetres rounded half up to `decimals` places, without trailing zeros: `187.3`."""
    scale = 10**decimals
    value = Fraction(math.floor(abs(length) * MM_PER_INCH * scale + Fraction(1, 2)), scale)
    text = f"{float(value):.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"-{text}" if length < 0 and value else text


# From here on a length is a mark on a tape, which shows half millimetres at best; below, callipers read tenths.
TAPE_FROM = 10 / MM_PER_INCH


def on_a_tape(length: Fraction, units: Units) -> str:
    """A length without its mark as a person measures it. Inches: as `in_fractions`. Millimetres: half ones from 10 mm on, and
    tenths below; what is rounded carries a `~`."""
    if units == "in":
        return in_fractions(length)
    if abs(length) < TAPE_FROM:
        return in_mm(length)
    halves = round(length * MM_PER_INCH * 2)
    mark = "" if Fraction(halves, 2) == length * MM_PER_INCH else "~"
    return f"{mark}{in_mm(Fraction(halves, 2) / MM_PER_INCH)}"


def marked(length: Fraction, units: Units) -> str:
    """`on_a_tape` with its mark: `7 3/8"` or `~187.5 mm`."""
    return f'{on_a_tape(length, units)}"' if units == "in" else f"{on_a_tape(length, units)} mm"


def show(length: Fraction, units: Units) -> str:
    """A length in the job's own units with its mark: `7 3/8"` or `187.3 mm`."""
    return f'{in_fractions(length)}"' if units == "in" else f"{in_mm(length, 2)} mm"


def as_typed(length: Fraction, units: Units) -> str:
    """A text that `parse_length` reads back to exactly `length`, bare where it can be, else with its mark.

    Holds for every length that `parse_length` may give: at most `LARGEST`, no finer than 1/`FINEST_TAKEN`.
    """
    if units == "mm":
        length *= MM_PER_INCH
    if length.denominator == 1:
        return str(length.numerator)
    if units == "in":
        if FINEST % length.denominator == 0:
            return in_fractions(length)
        metric = length * MM_PER_INCH
        if _is_decimal(metric):
            return _decimal(metric) + "mm"
    if _is_decimal(length):
        return _decimal(length)
    sign = "-" if length < 0 else ""
    whole, rest = divmod(abs(length), 1)
    return f"{sign}{whole} {rest.numerator}/{rest.denominator}" if whole else f"{sign}{rest.numerator}/{rest.denominator}"


def _is_decimal(value: Fraction) -> bool:
    return 10**6 % value.denominator == 0


def _decimal(value: Fraction) -> str:
    scaled = abs(value) * 10**6
    whole, rest = divmod(scaled.numerator, 10**6)
    text = f"{whole}.{rest:06d}".rstrip("0").rstrip(".")
    return f"-{text}" if value < 0 else text
