"""What a header means: which column of a table it names, in which unit, and where among the first rows it stands."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass

from yieldopt.reading.cells import as_meant
from yieldopt.reading.columns import Columns
from yieldopt.reading.textfile import MOST_TITLES, RawRow

# How a unit may be written, and what is put behind a bare number for it.
UNITS = {
    **dict.fromkeys(("in", "inch", "inches", '"', "″", "”"), '"'),
    **dict.fromkeys(("mm", "millimetres", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "centimetres", "centimeters"), "cm"),
    **dict.fromkeys(("ft", "feet", "foot", "'", "′", "’"), "'"),
}
_WITH_UNIT = re.compile(
    r"(?P<base>[^(\[,]+?)\s*(?:\(\s*(?P<a>[^()]*?)\s*\)|\[\s*(?P<b>[^\[\]]*?)\s*\]|,\s*(?P<c>\S+)|\s+in\s+(?P<d>\w+))"
)


@dataclass(frozen=True, slots=True)
class Header:
    """One column as it is headed: its key (the column's name, or the header itself where it names none), and what a bare number
    gets behind it, "" where the job's units hold."""

    key: str
    unit: str = ""


def plain(header: str) -> str:
    """A header as columns are named: lower case, words joined by an underscore."""
    return re.sub(r"[\s_-]+", "_", header.strip().lower())


def read_header(cells: Sequence[str], columns: Columns) -> list[Header]:
    """What each header means. One with a unit behind it (`Length (in)`) names the column where no other header does."""
    texts = [as_meant(c.strip()) for c in cells]
    plainly = {plain(t) for t in texts}
    return [_header(t, columns, plainly) for t in texts]


def _header(text: str, columns: Columns, others: set[str]) -> Header:
    name = plain(text)
    if name in columns.known:
        return Header(name)
    m = _WITH_UNIT.fullmatch(text)
    if m is None:
        return Header(text)
    base = plain(m["base"])
    unit = UNITS.get((m["a"] or m["b"] or m["c"] or m["d"] or "").lower())
    if base not in columns.known or base in others or (unit is None and base in columns.lengths):
        return Header(text)
    return Header(base, (unit or "") if base in columns.lengths else "")


def known_among(cells: Sequence[str], columns: Columns) -> int:
    """How many columns of the table these cells head."""
    return len({h.key for h in read_header(cells, columns)} & set(columns.known))


def header_at(raw: Sequence[RawRow], columns: Columns) -> int:
    """The first of the first rows that heads most of the columns needed; 0 where none does."""
    for i, (_, cells) in enumerate(raw[:MOST_TITLES]):
        keys = {h.key for h in read_header(cells, columns)}
        if 2 * len(keys & set(columns.needed)) > len(columns.needed):
            return i
    return 0


def near_miss(header: str, missing: Sequence[str]) -> str | None:
    """The column that a header not known may have been meant for: one of its words, or nearly its name."""
    words = plain(header).split("_")
    for column in missing:
        if column in words or (column.rstrip("s") in words and len(column) > 3):
            return column
    return next(iter(difflib.get_close_matches(plain(header), missing, 1, 0.75)), None)
