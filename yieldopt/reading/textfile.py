"""Bytes of a file to text, and text to rows of cells; every way in which that fails becomes a problem."""

from __future__ import annotations

import codecs
import csv
import io
import itertools
from collections.abc import Callable
from pathlib import Path

from yieldopt.ground.errors import Problem, remark
from yieldopt.reading.encodings import decoded
from yieldopt.reading.limits import MAX_BYTES, MAX_COLUMNS, MAX_ROWS

# Row number as a spreadsheet counts it, and the cells.
RawRow = tuple[int, list[str]]

SAVE_AS = "save it as “CSV UTF-8”"
UTF_8 = f"UTF-8 text: {SAVE_AS}"
# What parts the columns of a CSV file, the usual one first.
SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
# Rows in which a header is looked for.
MOST_TITLES = 5


def read_bytes(path: Path, file: str, problems: list[Problem]) -> bytes | None:
    """The content of a regular file of at most `MAX_BYTES`, or None with a problem noted; never reads more than that."""
    if not path.is_file():
        found = "a folder" if path.is_dir() else "something that is not a file" if path.exists() else None
        problems.append(Problem(file, None, None, found, "a file"))
        return None
    try:
        with path.open("rb") as f:
            size = path.stat().st_size
            data = f.read(MAX_BYTES + 1) if size <= MAX_BYTES else b""
    except OSError as error:
        problems.append(Problem(file, None, None, error.strerror or str(error), "a file that can be read"))
        return None
    if size > MAX_BYTES or len(data) > MAX_BYTES:
        problems.append(Problem(file, None, None, f"{max(size, len(data))} bytes", f"at most {MAX_BYTES} bytes"))
        return None
    return data


def read_text(path: Path, file: str, problems: list[Problem]) -> str | None:
    """The text of a UTF-8 file, a leading byte order mark taken off, or of one whose encoding can be told for certain, which is
    then said in a remark; None with a problem noted."""
    data = read_bytes(path, file, problems)
    if data is None:
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        other = decoded(data)
        if other is None:
            # With the "-sig" codec the position counts from behind the mark.
            offset = error.start + (3 if data.startswith(codecs.BOM_UTF8) else 0)
            row = data[:offset].count(b"\n") + 1
            problems.append(Problem(file, row, None, f"byte 0x{data[offset]:02x} at byte offset {offset}", UTF_8))
            return None
        text, encoding = other
        remark(problems, file, None, None, f"read as {encoding} text; {SAVE_AS} next time")
    if "\0" in text:
        offset = text.index("\0")
        problems.append(Problem(file, text.count("\n", 0, offset) + 1, None, "a NUL byte", "text"))
        return None
    return text


def csv_rows(path: Path, file: str, knows: Callable[[list[str]], int], problems: list[Problem]) -> list[RawRow] | None:
    """All rows of a CSV file, header included; None with a problem noted where it is none.

    `knows` says how many headers of the table it finds among some cells: so the separator is found, and remarked on where
    it is no comma.
    """
    text = read_text(path, file, problems)
    if text is None:
        return None
    separator = _separator(text, knows)
    if separator != ",":
        remark(problems, file, None, None, f"columns separated by {SEPARATORS[separator]}")
    rows: list[RawRow] = []
    reader = csv.reader(io.StringIO(text, newline=""), strict=True, delimiter=separator)
    try:
        for number, cells in enumerate(reader, start=1):
            if number > MAX_ROWS:
                problems.append(Problem(file, number, None, "one more row", f"at most {MAX_ROWS} rows"))
                return None
            if len(cells) > MAX_COLUMNS:
                problems.append(Problem(file, number, None, f"{len(cells)} cells", f"at most {MAX_COLUMNS} columns"))
                return None
            rows.append((number, cells))
    except csv.Error as error:
        found = "a quote that is never closed" if "end of data" in str(error) else "text behind a closing quote"
        found = str(error) if "field limit" in str(error) else found
        problems.append(Problem(file, len(rows) + 1, None, found, "cells that start with a quote to end with one"))
        return None
    return rows


def _separator(text: str, knows: Callable[[list[str]], int]) -> str:
    """The separator under which the first rows hold the most headers of the table; a comma where that says nothing."""

    def headers(separator: str) -> int:
        first = itertools.islice(csv.reader(io.StringIO(text, newline=""), delimiter=separator), MOST_TITLES)
        try:
            return max(map(knows, first), default=0)
        except csv.Error:
            return 0

    return max(SEPARATORS, key=headers)
