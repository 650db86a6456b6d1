"""What a person says of a cut, on the command line: to exact values, or every mistake at once."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from yieldopt.ground.errors import InputError, LengthError, Problem, UsageError
from yieldopt.ground.lengths import Units, parse_length
from yieldopt.rack.cut.booking import Corrections, Measured
from yieldopt.rack.cut.splitting import SplitCut
from yieldopt.reading.cells import unprintable

# Longest name, place or key, in characters.
LONGEST = 200
# Thin blade's width that is taken where none is given; always in inches.
KERF = "1/8"


def key_of(text: str | None) -> str | None:
    """A word of one's own for an entry. Raises `UsageError` for what can't be printed."""
    if text is not None and (not 0 < len(text) <= LONGEST or unprintable(text)):
        raise UsageError(f"--key: expected 1 to {LONGEST} printable characters")
    return text


def split_cut(crosscut: str | None, rip: str | None, kerf: str, names: Sequence[str], units: Units) -> tuple[SplitCut, list[str]]:
    """The cut that parts a board, and the names of both boards. Raises `InputError`."""
    problems: list[Problem] = []
    option, text = ("--crosscut", crosscut) if crosscut is not None else ("--rip", rip or "")
    at = _length(option, text, units, problems)
    width = _length("--kerf", kerf, "in" if kerf == KERF else units, problems)
    if width < 0:
        problems.append(Problem("rack split", None, "--kerf", kerf, "a width of 0 or more"))
    named = [n.strip() for n in names]
    expected = f"a name of at most {LONGEST} printable characters, without ;"
    problems += [Problem("rack split", None, "--names", n, expected) for n in named if not _is_name(n)]
    if problems:
        raise InputError(problems)
    return SplitCut("crosscut" if crosscut is not None else "rip", at, width), named


def _length(option: str, text: str, units: Units, problems: list[Problem]) -> Fraction:
    try:
        return parse_length(text, units)
    except LengthError as error:
        problems.append(Problem("rack split", None, option, text, error.expected))
        return Fraction(0)


def _is_name(text: str) -> bool:
    return bool(text) and len(text) <= LONGEST and ";" not in text and not unprintable(text)


def corrections(
    measured: Sequence[str], names: Sequence[str], lost: Sequence[str], spoiled: Sequence[str], place: str, units: Units
) -> Corrections:
    """What turned out otherwise than planned. Raises `InputError`."""
    problems: list[Problem] = []
    sizes = dict(found for text in measured if (found := _measured(text, units, problems)) is not None)
    named = dict(_named(text, problems) for text in names)
    if len(place) > LONGEST or unprintable(place):
        problems.append(Problem("rack cut", None, "--place", place, f"at most {LONGEST} printable characters"))
    if problems:
        raise InputError(problems)
    return Corrections(sizes, named, frozenset(lost), frozenset(spoiled), place.strip())


def _measured(text: str, units: Units, problems: list[Problem]) -> tuple[str, Measured] | None:
    """OFFCUT=LENGTH x WIDTH [x THICKNESS]; None where it can't be read, which is noted."""
    offcut, _, sizes = text.rpartition("=")
    cells = sizes.replace("×", "x").split("x")
    try:
        lengths = [parse_length(c, units) for c in cells]
        if not offcut or not 2 <= len(cells) <= 3 or min(lengths) <= 0:
            raise LengthError(text, "")
    except LengthError:
        expected = "OFFCUT=LENGTH x WIDTH such as 'A2-1=26 1/2 x 2 3/4'"
        problems.append(Problem("rack cut", None, "--measured", text, expected))
        return None
    return offcut.strip(), Measured(lengths[0], lengths[1], lengths[2] if len(lengths) == 3 else None)


def _named(text: str, problems: list[Problem]) -> tuple[str, str]:
    """OFFCUT=NAME; what it can't be is noted."""
    offcut, equals, name = text.rpartition("=")
    if not equals or not offcut.strip() or not _is_name(name.strip()) or len(name) > LONGEST or unprintable(name):
        problems.append(Problem("rack cut", None, "--name", text, "OFFCUT=NAME, a name of printable characters without ;"))
    return offcut.strip(), name.strip()
