"""Rows of cells to a table with named columns, and finding the file or sheet that holds a table of a job folder."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

from yieldopt.ground.counted import counted
from yieldopt.ground.errors import Problem, remark
from yieldopt.reading.cells import as_meant, unprintable
from yieldopt.reading.columns import TABLES, Columns
from yieldopt.reading.commas import with_points
from yieldopt.reading.headers import Header, header_at, known_among, near_miss, read_header
from yieldopt.reading.limits import MAX_CELL, MAX_NAME, MAX_PROBLEMS, MAX_ROWS
from yieldopt.reading.textfile import RawRow, csv_rows
from yieldopt.reading.workbook import TOLD, Workbook, open_workbook

# A number without a unit: figures, a sign, a fraction, a decimal mark.
BARE = re.compile(r"[-+−]?[\d\s./,½¼¾⅛⅜⅝⅞⁄-]*[\d½¼¾⅛⅜⅝⅞]\.?")


# Units of a header in words.
IN_WORDS = {'"': "inches", "in": "inches"}
# Names by which a row is known at a glance as no header.
COLUMN_NAMES = frozenset(name for t in TABLES for name in t.known)


class Cells(dict[str, str]):
    """Known cells by column, and the columns whose cell has been complained of already and stands empty."""

    def __init__(self, cells: Mapping[str, str] | None = None, told: Iterable[str] = ()) -> None:
        super().__init__(cells or {})
        self.told = set(told)

    def changed(self, texts: Mapping[str, str]) -> Cells:
        """With other texts; an empty one has been complained of."""
        return Cells({**self, **texts}, self.told | {c for c, text in texts.items() if not text})


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row that is not blank: its number as a spreadsheet counts it, known cells by column, the rest as notes."""

    number: int
    cells: Cells
    notes: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Table:
    """A table whose header was sound. `file` is its name in messages."""

    file: str
    rows: tuple[TableRow, ...]

    def each(self, problems: list[Problem]) -> Iterator[TableRow]:
        """The rows in order, for as long as `problems` can be listed; then one last problem says that reading stopped."""
        for row in self.rows:
            if _too_many(self.file, row.number, problems):
                return
            yield row


# The workbook in which every table has a sheet.
SHARED = "job.xlsx"
_STOPPED = "fewer, to continue reading"


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
    shared = folder / SHARED
    if shared.exists():
        reported: list[Problem] = []
        book = open_workbook(shared, shared.name, reported)
        problems.extend(p for p in reported if p not in problems)
        if book is None:
            return None
        with book:
            if _sheet(book, columns, shared=True):
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


def has_table(folder: Path, columns: Columns) -> bool:
    """Whether a folder has a table at all, read or not."""
    if any((folder / f"{columns.stem}.{end}").exists() for end in ("csv", "xlsx")):
        return True
    shared = folder / "job.xlsx"
    if not shared.exists():
        return False
    book = open_workbook(shared, shared.name, [])
    if book is None:
        return True
    with book:
        return book.sheet_named(columns.stem) is not None


def read_table(path: Path, columns: Columns, problems: list[Problem]) -> Table | None:
    """The table in one CSV file or workbook; None with problems noted where it can't be read as one."""
    if path.suffix.lower() not in (".xlsx", ".xlsm"):
        rows = csv_rows(path, path.name, lambda cells: known_among(cells, columns), problems)
        return None if rows is None else tabulate(path.name, rows, columns, problems)
    book = open_workbook(path, path.name, problems)
    if book is None:
        return None
    with book:
        sheet = _sheet(book, columns, shared=path.name == SHARED)
        if sheet is None:
            wanted = f"a sheet named {columns.stem}, or one sheet headed by {', '.join(columns.needed)}"
            problems.append(Problem(path.name, None, None, f"sheets named {', '.join(book.sheets)}", wanted))
            return None
        file = path.name if path.stem == columns.stem else f"{path.name} [{sheet}]"
        rows = book.rows(sheet, file, problems)
        return None if rows is None else tabulate(file, rows, columns, problems)


def _sheet(book: Workbook, columns: Columns, shared: bool) -> str | None:
    """The sheet of the table: by its name, as the only one of a workbook that is not `shared` between tables, or as the only
    one that is headed so."""
    named = book.sheet_named(columns.stem)
    if named is None and not shared and len(book.sheets) == 1:
        return book.sheets[0]
    headed = [s for s in book.sheets if any(_heads(cells, columns) for cells in book.first_rows(s))] if named is None else []
    if named is None and not headed:
        # One sheet may hold several tables below each other.
        headed = [s for s in book.sheets if any(_heads(cells, columns) for cells in book.first_rows(s, MAX_ROWS))]
    return headed[0] if len(headed) == 1 else named


def _heads(cells: list[str], columns: Columns) -> bool:
    return {h.key for h in read_header(cells, columns)} >= set(columns.needed)


def _own_rows(file: str, raw: list[RawRow], columns: Columns, problems: list[Problem]) -> list[RawRow]:
    """The rows of this table where one sheet holds several below each other, each under its own header; else all."""
    headers = [i for i, (_, cells) in enumerate(raw) if sum(c.strip().lower() in COLUMN_NAMES for c in cells) > 1]
    mine = next((i for i in headers if _heads(raw[i][1], columns)), None)
    others = [i for i in headers if not _heads(raw[i][1], columns) and any(_heads(raw[i][1], t) for t in TABLES)]
    if mine is None or not others:
        return raw
    begin = mine if min(others) < mine else 0
    end = next((i for i in others if i > mine), len(raw))
    # A title above the next table's header.
    while end < len(raw) and end > mine + 1 and sum(bool(c.strip()) for c in raw[end - 1][1]) == 1:
        end -= 1
    told = f"rows {raw[begin][0]} to {raw[end - 1][0]} read as the table {columns.stem}; other tables are in the same sheet"
    remark(problems, file, raw[begin][0], None, told)
    return raw[begin:end]


def tabulate(file: str, raw: list[RawRow], columns: Columns, problems: list[Problem]) -> Table | None:
    """Cells under their headers. A faulty header makes the rows unreadable and gives None; faulty rows are left out.

    Rows above the header, such as a title, are passed over with a remark.
    """
    raw = _own_rows(file, raw, columns, problems)
    at = header_at(raw, columns)
    if at and any(c.strip() for _, cells in raw[:at] for c in cells):
        remark(problems, file, raw[at][0], None, f"taken for the header; {counted(at, 'row')} above it passed over")
    raw = raw[at:]
    if not raw or not any(c.strip() for c in raw[0][1]):
        problems.append(Problem(file, 1, None, None, f"a header row with the columns {', '.join(columns.needed)}"))
        return None
    header_row, header = raw[0][0], list(raw[0][1])
    while not header[-1].strip() and not any(len(c) >= len(header) and c[len(header) - 1].strip() for _, c in raw):
        header.pop()
    heads = read_header(header, columns)
    keys = [h.key for h in heads]
    if not _sound(file, header_row, keys, columns, problems):
        return None
    for head in heads:
        if head.unit:
            remark(
                problems,
                file,
                header_row,
                head.key,
                f"bare numbers are {IN_WORDS.get(head.unit, head.unit)}, as the header says",
            )
    rows: list[TableRow] = []
    for number, cells in raw[1:]:
        if _too_many(file, number, problems):
            break
        row = _row(file, number, cells, heads, columns, problems) if any(c.strip() for c in cells) else None
        if row is not None:
            rows.append(row)
    return Table(file, tuple(_with_points(file, rows, columns, problems)))


def _sound(file: str, row: int, keys: list[str], columns: Columns, problems: list[Problem]) -> bool:
    """Whether the header can be used; what is wrong with it is noted, what may be is remarked on."""
    before = len(problems)
    for i, key in enumerate(keys):
        bad = unprintable(key)
        if not key:
            problems.append(Problem(file, row, f"column {i + 1}", None, "a header over a column that is not empty"))
        elif bad or len(key) > MAX_NAME:
            found = f"the character {bad}" if bad else f"{len(key)} characters"
            expected = f"a header of at most {MAX_NAME} printable characters"
            problems.append(Problem(file, row, f"column {i + 1}", found, expected))
        elif key in keys[:i]:
            problems.append(Problem(file, row, key, "the column again", "each column once"))
    strangers = [key for key in keys if key not in columns.known]
    missing = [column for column in columns.needed if column not in keys]
    if len(missing) == len(columns.needed) > 1:
        # One cause, one message.
        wanted = f"a header row with the columns {', '.join(columns.needed)}"
        problems.append(Problem(file, row, None, ", ".join(keys), wanted))
        missing = []
    for column in missing:
        near = difflib.get_close_matches(column, strangers, 1) or [s for s in strangers if near_miss(s, [column])]
        problems.append(Problem(file, row, column, near[0] if near else None, "a column with this name"))
    unused = [column for column in columns.optional if column not in keys]
    for key in strangers:
        near_one = near_miss(key, unused)
        if near_one is not None:
            remark(problems, file, row, key, f"kept as a note; if it is meant as the column {near_one}, head it {near_one}")
    return len(problems) == before


def _with_points(file: str, rows: list[TableRow], columns: Columns, problems: list[Problem]) -> list[TableRow]:
    """The rows with decimal commas read as points."""
    figures = {(r.number, c): text for r in rows for c, text in r.cells.items() if c in columns.figures and "," in text}
    if not figures:
        return rows
    others = {(r.number, c): text for r in rows for c, text in r.cells.items() if c in columns.figures}
    found = with_points(file, others, problems)
    changed: dict[int, dict[str, str]] = {}
    for (number, column), text in found.items():
        changed.setdefault(number, {})[column] = text
    return [replace(r, cells=r.cells.changed(changed[r.number])) if r.number in changed else r for r in rows]


def _row(
    file: str, number: int, cells: list[str], heads: list[Header], columns: Columns, problems: list[Problem]
) -> TableRow | None:
    while len(cells) > len(heads) and not cells[-1].strip():
        cells = cells[:-1]
    if len(cells) != len(heads):
        problems.append(Problem(file, number, None, f"{len(cells)} cells", f"{len(heads)} cells, as many as the header has"))
        return None
    known = Cells()
    notes: dict[str, str] = {}
    sound = True
    for head, cell in zip(heads, cells, strict=True):
        key = head.key
        if len(cell) > MAX_CELL:
            problems.append(Problem(file, number, key, f"{len(cell)} characters", f"at most {MAX_CELL} characters"))
            sound = False
        elif key in columns.known:
            text = as_meant(cell.strip()).strip()
            known[key] = "" if text == TOLD else f"{text}{head.unit}" if head.unit and BARE.fullmatch(text) else text
            if text == TOLD:
                known.told.add(key)
        elif cell.strip() and cell != TOLD:
            note = as_meant(cell.replace("\r\n", "\n").replace("\r", "\n"))
            bad = unprintable(note, line_breaks=True)
            if bad:
                problems.append(Problem(file, number, key, f"the character {bad}", "printable characters"))
                sound = False
            notes[key] = note
    return TableRow(number, known, MappingProxyType(notes)) if sound else None
