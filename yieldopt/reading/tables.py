"""Rows of cells to a table with named columns, and finding the file or sheet that holds a table of a job folder."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from yieldopt.errors import Problem
from yieldopt.reading.cells import as_meant, unprintable
from yieldopt.reading.columns import Columns
from yieldopt.reading.limits import MAX_CELL, MAX_NAME, MAX_PROBLEMS
from yieldopt.reading.textfile import RawRow, csv_rows
from yieldopt.reading.workbook import open_workbook


@dataclass(frozen=True, slots=True)
class Row:
    """One row that is not blank: its number as a spreadsheet counts it, known cells by column, the rest as notes."""

    number: int
    cells: Mapping[str, str]
    notes: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Table:
    """A table whose header was sound. `file` is its name in messages."""

    file: str
    rows: tuple[Row, ...]

    def each(self, problems: list[Problem]) -> Iterator[Row]:
        """The rows in order, for as long as `problems` can be listed; then one last problem says that reading stopped."""
        for row in self.rows:
            if _too_many(self.file, row.number, problems):
                return
            yield row


_STOPPED = "fewer, to go on reading"


def _too_many(file: str, row: int, problems: list[Problem]) -> bool:
    if len(problems) >= MAX_PROBLEMS and problems[-1].expected != _STOPPED:
        problems.append(Problem(file, row, None, f"{len(problems)} mistakes so far", _STOPPED))
    return len(problems) >= MAX_PROBLEMS


def find_table(folder: Path, columns: Columns, problems: list[Problem], needed: bool) -> Table | None:
    """The table `STEM.csv`, `STEM.xlsx` or the sheet STEM of `job.xlsx`; None where there is none or it can't be read.

    A missing file is a problem only if `needed`; two files for one table always are.
    """
    stem = columns.stem
    places = [p for p in (folder / f"{stem}.csv", folder / f"{stem}.xlsx") if p.exists()]
    shared = folder / "job.xlsx"
    if shared.exists():
        reported: list[Problem] = []
        book = open_workbook(shared, shared.name, reported)
        problems.extend(p for p in reported if p not in problems)
        if book is None:
            return None
        with book:
            if book.sheet_named(stem):
                places.append(shared)
    if len(places) > 1:
        names = " and ".join(p.name for p in places)
        problems.append(Problem(places[0].name, None, None, names, f"the table {stem} in one place"))
        return None
    if places:
        return read_table(places[0], columns, problems)
    if needed:
        wanted = f"the file {stem}.csv or {stem}.xlsx in {folder.name or folder}"
        problems.append(Problem(f"{stem}.csv", None, None, None, wanted))
    return None


def read_table(path: Path, columns: Columns, problems: list[Problem]) -> Table | None:
    """The table in one CSV file or workbook; None with problems noted where it can't be read as one."""
    if path.suffix.lower() not in (".xlsx", ".xlsm"):
        rows = csv_rows(path, path.name, problems)
        return None if rows is None else tabulate(path.name, rows, columns, problems)
    book = open_workbook(path, path.name, problems)
    if book is None:
        return None
    with book:
        sheet = book.sheet_named(columns.stem) or (book.sheets[0] if len(book.sheets) == 1 else None)
        if sheet is None:
            problems.append(Problem(path.name, None, None, ", ".join(book.sheets), f"a sheet named {columns.stem}"))
            return None
        file = path.name if path.stem == columns.stem else f"{path.name} [{sheet}]"
        rows = book.rows(sheet, file, problems)
        return None if rows is None else tabulate(file, rows, columns, problems)


def tabulate(file: str, raw: list[RawRow], columns: Columns, problems: list[Problem]) -> Table | None:
    """Cells under their headers. A faulty header makes the rows unreadable and gives None; faulty rows are left out."""
    if not raw or not any(c.strip() for c in raw[0][1]):
        problems.append(Problem(file, 1, None, None, f"a header row with the columns {', '.join(columns.needed)}"))
        return None
    header_row, header = raw[0][0], [as_meant(h.strip()) for h in raw[0][1]]
    while not header[-1] and not any(len(cells) >= len(header) and cells[len(header) - 1].strip() for _, cells in raw):
        header.pop()
    if len(header) == 1 and any(mark in header[0] for mark in ";\t|"):
        problems.append(Problem(file, header_row, None, header[0], "columns parted by commas"))
        return None
    keys = [_known(h, columns) or h for h in header]
    before = len(problems)
    for i, key in enumerate(keys):
        bad = unprintable(key)
        if not key:
            problems.append(Problem(file, header_row, f"column {i + 1}", None, "a header over a column that is not empty"))
        elif bad or len(key) > MAX_NAME:
            found = f"the character {bad}" if bad else f"{len(key)} characters"
            expected = f"a header of at most {MAX_NAME} printable characters"
            problems.append(Problem(file, header_row, f"column {i + 1}", found, expected))
        elif key in keys[:i]:
            problems.append(Problem(file, header_row, key, "the column again", "each column once"))
    strangers = [key for key in keys if key not in columns.known]
    for column in columns.needed:
        if column not in keys:
            near = difflib.get_close_matches(column, strangers, 1)
            problems.append(Problem(file, header_row, column, near[0] if near else None, "a column with this name"))
    if len(problems) > before:
        return None
    rows: list[Row] = []
    for number, cells in raw[1:]:
        if _too_many(file, number, problems):
            break
        row = _row(file, number, cells, keys, columns, problems) if any(c.strip() for c in cells) else None
        if row is not None:
            rows.append(row)
    return Table(file, tuple(rows))


def _known(header: str, columns: Columns) -> str | None:
    name = re.sub(r"[\s_-]+", "_", header.lower())
    return name if name in columns.known else None


def _row(file: str, number: int, cells: list[str], keys: list[str], columns: Columns, problems: list[Problem]) -> Row | None:
    while len(cells) > len(keys) and not cells[-1].strip():
        cells = cells[:-1]
    if len(cells) != len(keys):
        problems.append(Problem(file, number, None, f"{len(cells)} cells", f"{len(keys)} cells, as many as the header has"))
        return None
    known: dict[str, str] = {}
    notes: dict[str, str] = {}
    sound = True
    for key, cell in zip(keys, cells, strict=True):
        if len(cell) > MAX_CELL:
            problems.append(Problem(file, number, key, f"{len(cell)} characters", f"at most {MAX_CELL} characters"))
            sound = False
        elif key in columns.known:
            known[key] = as_meant(cell.strip()).strip()
        elif cell.strip():
            note = as_meant(cell.replace("\r\n", "\n").replace("\r", "\n"))
            bad = unprintable(note, line_breaks=True)
            if bad:
                problems.append(Problem(file, number, key, f"the character {bad}", "printable characters"))
                sound = False
            notes[key] = note
    return Row(number, known, MappingProxyType(notes)) if sound else None
