"""Exact numbers as the database and the ledger keep them: text, never a float."""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache

# Whole micrometres, rounded down: a coarse key for sorting and for narrowing a search in SQL. The exact text decides.
MICROMETRES_PER_INCH = 25_400


class Unreadable(ValueError):
    """Something stored is not what this package stores: the file is damaged. `engine.user_errors` rewords it."""


def to_text(value: Fraction) -> str:
    """`15/2`, `-1/4`, `7`: lowest terms, one text for one value."""
    return str(value)


# A shop's lengths repeat: most texts of a large rack have been read before.
@lru_cache(maxsize=100_000)
def from_text(text: str) -> Fraction:
    """What `to_text` wrote. Raises `Unreadable` for anything else."""
    try:
        return Fraction(text)
    except (ValueError, TypeError, ZeroDivisionError) as error:
        raise Unreadable(f"{str(text)[:40]!r} is not a number") from error


def words(text: str) -> list[str]:
    """A stored list of numbers, parted by blanks. Raises `Unreadable` where there is no text."""
    if not isinstance(text, str):
        raise Unreadable("a text is missing")
    return text.split()


def optional_text(value: Fraction | None) -> str | None:
    return None if value is None else str(value)


def optional_fraction(text: str | None) -> Fraction | None:
    return None if text is None else from_text(text)


def sort_key(length: Fraction) -> int:
    """Micrometres, rounded down; equal or smaller exactly when the length is, up to one micrometre."""
    return math.floor(length * MICROMETRES_PER_INCH)
