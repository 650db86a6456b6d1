"""The exceptions a user may meet; anything else that escapes is our bug and keeps its traceback."""

from __future__ import annotations

from collections.abc import Sequence
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
    # Row as a spreadsheet counts it (the header is row 1); None where the whole file or a key is meant.
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
            place += f", row {self.row}"
        if self.column is not None:
            place += f", {self.column}"
        found = "nothing" if self.found is None else repr(_short(self.found))
        return f"{place}: found {found}, expected {self.expected}"


def _short(text: str, most: int = 60) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"


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
