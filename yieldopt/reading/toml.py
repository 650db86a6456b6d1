"""The text of `job.toml` to its tables: mistakes named by line and key, with what to type instead."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from yieldopt.ground.errors import Problem

_TABLE = re.compile(r"\s*\[\s*(?P<name>[\w.-]+)\s*\]\s*(?:#.*)?")
_ENTRY = re.compile(r"\s*(?P<key>[\w-]+)\s*=\s*(?P<value>.*?)\s*")
_OPENERS = ('"""', "'''", "[", "{")
_QUOTES = str.maketrans({"“": '"', "”": '"', "‘": "'", "’": "'"})


class Number(str):
    """A TOML float as it was typed, so that 0.1 stays a tenth and 1e999 can be shown."""


@dataclass(frozen=True, slots=True)
class Toml:
    """What a TOML text says, and the line on which each key stands (`allowances.edge` -> 7)."""

    body: Mapping[str, Any]
    lines: Mapping[str, int] = field(default_factory=dict)


def parse(text: str, file: str, problems: list[Problem]) -> Toml | None:
    """The tables of a text; None where it is no TOML. Each line that can't be read by itself is then a problem of its own."""
    try:
        return Toml(tomllib.loads(text, parse_float=Number), _lines(text))
    except (ValueError, RecursionError) as error:
        # ValueError: also numbers of more digits than Python converts.
        found = list(_faulty(text, file))
        problems.extend(found or [_whole(error, text, file)])
        return None


def _entries(text: str) -> list[tuple[int, str, str, str]]:
    """(line, table with a point behind it, key, value as typed) of every line that looks like an entry."""
    table, found = "", []
    for number, line in enumerate(text.splitlines(), 1):
        head = _TABLE.fullmatch(line)
        entry = _ENTRY.fullmatch(line)
        if head:
            table = f"{head['name']}."
        elif entry:
            found.append((number, table, entry["key"], entry["value"]))
    return found


def _lines(text: str) -> dict[str, int]:
    return {f"{table}{key}": number for number, table, key, _ in _entries(text)}


def _faulty(text: str, file: str) -> list[Problem]:
    """The entries that are no TOML by themselves; those that may go on in the next line are left to the parser."""
    found = []
    for number, table, key, value in _entries(text):
        if value.startswith(_OPENERS) or _reads(f"{key} = {value}"):
            continue
        found.append(Problem(file, number, f"{table}{key}", value or None, _remedy(key, value)))
    return found


def _reads(line: str) -> bool:
    try:
        tomllib.loads(line)
    except (ValueError, RecursionError):
        return False
    return True


def _remedy(key: str, value: str) -> str:
    """The line as it was probably meant: curly quotes made straight, a missing quote put in its place."""
    straight = value.translate(_QUOTES)
    if straight != value and _reads(f"{key} = {straight}"):
        return f"straight quotes: {key} = {straight}"
    inner = straight.split(" #")[0].strip().strip("\"'") or "..."
    quote = "'" if '"' in inner else '"'
    return f"a number, or a text in quotes: {key} = {quote}{inner}{quote}"


def _whole(error: Exception, text: str, file: str) -> Problem:
    """What the parser says, where no line by itself is at fault: a table or key given twice, a text that never ends."""
    # The line stands in the parser's message.
    at = re.search(r"at line (\d+)", str(error))
    line = int(at[1]) if at else None
    key = next((f"{table}{key}" for number, table, key, _ in _entries(text) if number == line), None)
    if isinstance(error, RecursionError):
        return Problem(file, line, key, "lists or tables nested too deep", "valid TOML")
    if not isinstance(error, tomllib.TOMLDecodeError):
        return Problem(file, line, key, "a number of too many digits", "valid TOML")
    said = re.sub(r"\s*\(at .*\)$", "", str(error))
    if "overwrite" in said or "twice" in said:
        return Problem(file, line, key, "the same again", "each key and each table once")
    return Problem(file, line, key, said, "valid TOML: key = value, texts in straight quotes, tables as [name]")
