"""The exceptions a user may meet; anything else that escapes is our bug and keeps its traceback."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


class YieldoptError(Exception):
    """Base of every error this package raises on purpose; `exit_status` is what the command line returns."""

    exit_status = 2


class LengthError(YieldoptError, ValueError):
    """A text that can't be read as a length. `found` is the text, `expected` what would have been taken."""

    def __init__(self, found: str, expected: str) -> None:
        self.found = found
        self.expected = expected
        super().__init__(f"found {found!r}, expected {expected}")


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake in what the user gave us, as data; `str()` is the only place where it is worded."""

    # File name as the user knows it, e.g. "parts.csv".
    file: str
    # Row as a spreadsheet counts it (the header is row 1), in job.toml the line; None where the whole file is meant, or a key
    # that is not there.
    row: int | None
    # Column header or dotted key, e.g. "width" or "kerf.rip"; None where the whole row or file is meant.
    column: str | None
    # What was there, as typed; None where it is absent.
    found: str | None
    # What would have been right.
    expected: str

    def __str__(self) -> str:
        place = self.file
        if self.row is not None:
            place += f", {'line' if self.file.endswith('.toml') else 'row'} {self.row}"
        if self.column is not None:
            place += f", {self.column}"
        found = "nothing" if self.found is None else repr(_short(self.found))
        return f"{place}: found {found}, expected {self.expected}"


@dataclass(frozen=True, slots=True)
class Remark:
    """Something that was taken for granted, or that looks odd, in what the user gave us; it stops nothing."""

    file: str
    row: int | None
    column: str | None
    text: str

    def __str__(self) -> str:
        place = self.file
        if self.row is not None:
            place += f", row {self.row}"
        if self.column is not None:
            place += f", {self.column}"
        return f"{place}: {self.text}"


class Problems(list[Problem]):
    """The mistakes found so far, and beside them the remarks."""

    def __init__(self, problems: Iterable[Problem] = ()) -> None:
        super().__init__(problems)
        self.remarks: list[Remark] = []


def remark(problems: list[Problem], file: str, row: int | None, column: str | None, text: str) -> None:
    """Note a remark, once, where somebody collects them."""
    if isinstance(problems, Problems):
        found = Remark(file, row, column, text)
        if found not in problems.remarks:
            problems.remarks.append(found)


def _short(text: str, most: int = 60) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"


# From so many rows on, one mistake in one column is told once.
MANY = 5


def condensed(problems: Sequence[Problem]) -> list[str]:
    """The problems in words, a line each; what `MANY` rows of one column share is one line, with its rows and two examples."""
    shared: dict[tuple[str, str | None, str], list[Problem]] = {}
    for p in problems:
        shared.setdefault((p.file, p.column, p.expected), []).append(p)
    lines = []
    for p in problems:
        alike = shared[p.file, p.column, p.expected]
        if p.row is None or p.column is None or len(alike) < MANY:
            lines.append(str(p))
        elif p is alike[0]:
            lines.append(_together(alike))
    return lines


def _together(alike: Sequence[Problem]) -> str:
    first = alike[0]
    rows = _ranges(sorted({p.row for p in alike if p.row is not None}))
    found = list(dict.fromkeys("nothing" if p.found is None else repr(_short(p.found)) for p in alike))
    more = f" and {len(found) - 2} more" if len(found) > 2 else ""
    return f"{first.file}, rows {rows}, {first.column}: found {', '.join(found[:2])}{more}, expected {first.expected}"


def _ranges(numbers: Sequence[int]) -> str:
    """`2-4, 7` for 2, 3, 4, 7."""
    parts: list[list[int]] = []
    for n in numbers:
        if parts and n == parts[-1][-1] + 1:
            parts[-1].append(n)
        else:
            parts.append([n])
    return ", ".join(f"{p[0]}-{p[-1]}" if len(p) > 1 else str(p[0]) for p in parts)


class InputError(YieldoptError, ValueError):
    """All mistakes found in the user's input, together; nothing has been written when it is raised."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(p) for p in self.problems))


class UsageError(YieldoptError, ValueError):
    """A command that can't be carried out as typed: a path that is not there, options that exclude each other."""


class CheckFailed(YieldoptError, AssertionError):
    """Our own bug: the independent check refused a plan that the planner made. `breaches` says what it found."""

    exit_status = 4

    def __init__(self, breaches: Sequence[str]) -> None:
        self.breaches = tuple(breaches)
        lines = "\n".join(f"  {b}" for b in self.breaches)
        super().__init__(f"the plan failed its independent check; this is a bug in yieldopt, please report it:\n{lines}")

    def __reduce__(self) -> tuple[type[CheckFailed], tuple[tuple[str, ...]]]:
        """From another process it comes with its breaches, not made of its message."""
        return CheckFailed, (self.breaches,)
