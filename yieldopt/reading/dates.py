"""Dates that a spreadsheet makes of fractions: typed as 3/4, a cell shows the fourth of March or the third of April."""

from __future__ import annotations

import datetime
import math
import re

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY_MONTH = re.compile(r"(?P<day>\d{1,2})[-. ]+(?P<month>[A-Za-z]{3,9})\.?(?:[-. ]+\d{2,4})?")
_MONTH_DAY = re.compile(r"(?P<month>[A-Za-z]{3,9})\.?[-. ]+(?P<day>\d{1,2})")


def fraction_of(value: str | datetime.date) -> str | None:
    """The fraction that was typed where a cell now holds a date, as `3/4`; None where it holds none.

    Of month/day and day/month the one is taken that a ruler or a thickness class has: quarters, or a proper fraction in lowest
    terms of 2, 8 or 16.
    """
    if isinstance(value, datetime.date):
        month, day = value.month, value.day
    else:
        m = _DAY_MONTH.fullmatch(value.strip()) or _MONTH_DAY.fullmatch(value.strip())
        if m is None or m["month"][:3].lower() not in _MONTHS:
            return None
        month, day = _MONTHS.index(m["month"][:3].lower()) + 1, int(m["day"])
    for over, under in ((month, day), (day, month)):
        if under == 4 or (under in (2, 8, 16) and over < under and math.gcd(over, under) == 1):
            return f"{over}/{under}"
    return f"{month}/{day}"


def typed_again(value: str | datetime.date) -> str | None:
    """What to do about a date that stands in place of a fraction; None where there is none."""
    fraction = fraction_of(value)
    return (
        None
        if fraction is None
        else f"{fraction}, of which a spreadsheet made a date: format the column as text and type it again"
    )
