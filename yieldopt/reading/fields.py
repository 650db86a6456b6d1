"""One row (or one table of `job.toml`) to typed values: each getter notes what is wrong and goes on.

A getter that fails returns a stand-in of its type and clears `ok`, so that a whole row is read to its end and an object
is built only where `ok` is still set.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import TypeVar

from yieldopt.ground.errors import LengthError, Problem
from yieldopt.ground.lengths import EXPECTED, Units, parse_length
from yieldopt.reading.cells import unprintable
from yieldopt.reading.dates import typed_again
from yieldopt.reading.limits import MAX_MONEY, MAX_NAME

C = TypeVar("C", bound=str)

_PLAIN = re.compile(r"[+-]?(?:\d{1,40}(?:\.\d{0,40})?|\.\d{1,40})", re.ASCII)
_RATIO = re.compile(r"(?P<num>[+-]?\d{1,60})\s*/\s*(?P<den>\d{1,60})", re.ASCII)
_WHOLE = re.compile(r"[+-]?\d{1,15}", re.ASCII)
_QUARTERS = re.compile(r"(\d{1,3})\s*/\s*4", re.ASCII)
_TO = re.compile(r"\s+(?:to|–|—)\s+", re.IGNORECASE)

# Thickest nominal stock taken, in inches; sawn hardwood is graded to 4 in (16/4), timbers go further.
THICKEST = Fraction(16)


class Fields:
    """Reads the cells of one row; `file`, `row` and `prefix` place the problems it appends to `problems`."""

    def __init__(
        self, file: str, row: int | None, cells: Mapping[str, str], units: Units, problems: list[Problem], prefix: str = ""
    ) -> None:
        self.file, self.row, self.cells, self.units, self.problems, self.prefix = file, row, cells, units, problems, prefix
        self.ok = True

    def refuse(self, column: str, found: str | None, expected: str) -> None:
        """Note a problem in `column` of this row."""
        self.ok = False
        if column not in getattr(self.cells, "told", ()):
            self.problems.append(Problem(self.file, self.row, self.prefix + column, found, expected))

    def given(self, column: str) -> bool:
        """Whether the cell holds anything."""
        return bool(self.cells.get(column))

    def name(self, column: str, needed: bool = True, barred: str = "") -> str:
        """A name: at most `MAX_NAME` printable characters, none of `barred`; "" if empty and not `needed`."""
        text = self.cells.get(column, "")
        expected = f"a name of at most {MAX_NAME} printable characters"
        if not text:
            if needed:
                self.refuse(column, None, expected)
            return ""
        bad = unprintable(text) or next((c for c in barred if c in text), None)
        if bad or len(text) > MAX_NAME:
            found = f"the character {bad}" if bad else f"{len(text)} characters"
            self.refuse(column, found, expected + (f", without {' or '.join(barred)}" if barred else ""))
        return text

    def species(self) -> str:
        """A species, compared without regard to case and spacing: lower case, single spaces."""
        return " ".join(self.name("species").lower().split())

    def length(self, column: str, default: Fraction | None = None, above: int | None = 0, least: int | None = None) -> Fraction:
        """A length in inches, above `above` or at least `least` where that is given; `default` where the cell is empty."""
        value = self.maybe_length(column, above, least)
        if value is not None:
            return value
        if default is None and not self.given(column):
            self.refuse(column, None, EXPECTED)
        return Fraction(1) if default is None else default

    def maybe_length(self, column: str, above: int | None = 0, least: int | None = None) -> Fraction | None:
        """As `length`, None where the cell is empty or faulty."""
        return self._length_of(column, self.cells[column], above, least) if self.given(column) else None

    def _length_of(self, column: str, text: str, above: int | None, least: int | None) -> Fraction | None:
        try:
            value = parse_length(text, self.units)
        except LengthError as error:
            self.refuse(column, text, typed_again(text) or error.expected)
            return None
        if least is not None:
            if value < least:
                self.refuse(column, text, f"a length of {least} or more")
        elif above is not None and value <= above:
            self.refuse(column, text, f"a length above {above}")
        return value

    def span(self, column: str) -> tuple[Fraction, Fraction] | None:
        """`2 to 5`: two lengths above 0, the first not above the second; None if empty or faulty."""
        if not self.given(column):
            return None
        text = self.cells[column]
        ends = _TO.split(text)
        if len(ends) != 2:
            self.refuse(column, text, "narrowest and widest net stave such as 2 to 5")
            return None
        low, high = (self._length_of(column, end, 0, None) for end in ends)
        if low is None or high is None:
            return None
        if low > high:
            self.refuse(column, text, "the narrowest stave first, then the widest")
            return None
        return low, high

    def quarters(self, column: str = "quarters") -> tuple[str, Fraction]:
        """A thickness class as typed and the nominal thickness it stands for: `8/4` is 2 in, `52mm` is itself."""
        text = self.cells.get(column, "")
        expected = "quarters such as 4/4 or 8/4, or a nominal thickness such as 52mm"
        m = _QUARTERS.fullmatch(text)
        try:
            nominal = Fraction(int(m[1]), 4) if m else parse_length(text, self.units)
        except LengthError:
            nominal = Fraction(0)
        if not 0 < nominal <= THICKEST:
            self.refuse(column, text or None, typed_again(text) or expected)
            return text, Fraction(1)
        return (f"{m[1]}/4" if m else text), nominal

    def whole(self, column: str, least: int, most: int, default: int | None = None) -> int:
        """A whole number from `least` to `most`."""
        text = self.cells.get(column, "")
        if not text and default is not None:
            return default
        if not _WHOLE.fullmatch(text) or not least <= int(text) <= most:
            self.refuse(column, text or None, f"a whole number from {least} to {most}")
            return least
        return int(text)

    def choice(self, column: str, options: tuple[C, ...], default: C | None = None) -> C:
        """One of `options`, whatever its case and spacing."""
        text = self.cells.get(column, "")
        folded = " ".join(text.lower().split())
        if not text and default is not None:
            return default
        for option in options:
            if folded == option.lower():
                return option
        self.refuse(column, text or None, one_of(o for o in options if o))
        return default if default is not None else options[0]

    def names(self, column: str) -> tuple[str, ...]:
        """Names parted by `;`, empty ones dropped, each once, in order."""
        return tuple(dict.fromkeys(n.strip() for n in self.cells.get(column, "").split(";") if n.strip()))

    def money(self, column: str) -> Fraction | None:
        """An amount of 0 or more in the job's currency, exact; None where the cell is empty."""
        return self._number(column, Fraction(MAX_MONEY), f"an amount from 0 to {MAX_MONEY} such as 14.50")

    def share(self, column: str, default: Fraction, most: int = 1) -> Fraction:
        """A share from 0 to `most`, such as 0.6 (not 60 %)."""
        value = self._number(column, Fraction(most), f"a number from 0 to {most}, such as 0.6")
        return default if value is None else value

    def number(self, column: str, default: Fraction, most: int, example: str) -> Fraction:
        """A number from 0 to `most`."""
        value = self._number(column, Fraction(most), f"a number from 0 to {most}, such as {example}")
        return default if value is None else value

    def humidity(self, column: str) -> tuple[Fraction, Fraction] | None:
        """`35 to 60`: the least and greatest relative humidity in percent, below 100; None if empty or faulty."""
        if not self.given(column):
            return None
        text = self.cells[column]
        ends = [end.removesuffix("%").strip() for end in _TO.split(text)]
        low, high = (Fraction(end) if _PLAIN.fullmatch(end) else Fraction(-1) for end in (ends if len(ends) == 2 else ("", "")))
        if not 0 <= low <= high < 100:
            self.refuse(column, text, "least and greatest relative humidity in percent, below 100, such as 35 to 60")
            return None
        return low, high

    def _number(self, column: str, most: Fraction, expected: str) -> Fraction | None:
        text = self.cells.get(column, "")
        if not text:
            return None
        ratio = _RATIO.fullmatch(text)
        value = None
        if ratio and int(ratio["den"]):
            value = Fraction(int(ratio["num"]), int(ratio["den"]))
        elif _PLAIN.fullmatch(text):
            value = Fraction(text)
        if value is None or not 0 <= value <= most:
            self.refuse(column, text, expected)
            return Fraction(0)
        return value


def one_of(options: Iterable[str]) -> str:
    """`a, b or c`."""
    *first, last = options
    return f"{', '.join(first)} or {last}" if first else last
