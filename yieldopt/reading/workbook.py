"""Sheets of an `.xlsx` workbook to the same rows of text cells that a CSV file gives."""

from __future__ import annotations

import datetime
import warnings
import zipfile
from pathlib import Path
from typing import Any

from yieldopt.ground.errors import Problem
from yieldopt.reading.dates import typed_again
from yieldopt.reading.limits import MAX_BYTES, MAX_COLUMNS, MAX_ROWS, MAX_UNPACKED_BYTES
from yieldopt.reading.textfile import MOST_TITLES, RawRow, read_bytes

_AS_TEXT = "text: format the column as text, then type the value again"
# What stands for a cell that has been complained of, so that nothing else is said of it.
TOLD = "\ufdd0"


class Workbook:
    """An opened workbook; `sheets` are the names of its sheets. Close it, or use it as a context."""

    def __init__(self, path: Path, book: Any) -> None:
        self.path = path
        self.book = book
        self.sheets: tuple[str, ...] = tuple(str(s) for s in book.sheetnames)

    def __enter__(self) -> Workbook:
        return self

    def __exit__(self, *_: object) -> None:
        self.book.close()

    def sheet_named(self, stem: str) -> str | None:
        """The sheet of that name, whatever its case."""
        return next((s for s in self.sheets if s.strip().lower() == stem), None)

    def first_rows(self, sheet: str, most: int = MOST_TITLES) -> list[list[str]]:
        """The first rows of one sheet as text, to see what it is headed by; none where the sheet is damaged."""
        try:
            ws = self.book[sheet]
            ws.reset_dimensions()
            found = ws.iter_rows(max_row=most, max_col=MAX_COLUMNS, values_only=True)
            return [["" if v is None else str(v) for v in row] for row in found]
        except Exception:  # the library raises anything at all on a damaged sheet
            return []

    def rows(self, sheet: str, file: str, problems: list[Problem]) -> list[RawRow] | None:
        """All rows of one sheet as text; cells that are no plain text or number are noted as problems and left empty."""
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                return self._rows(sheet, file, problems)
        except Exception as error:  # the library raises anything at all on a damaged sheet
            problems.append(Problem(file, None, None, f"{type(error).__name__} while reading", "a sheet of an .xlsx workbook"))
            return None

    def _rows(self, sheet: str, file: str, problems: list[Problem]) -> list[RawRow] | None:
        ws = self.book[sheet]
        ws.reset_dimensions()
        rows: list[RawRow] = []
        filled = 0
        for number, cells in enumerate(ws.iter_rows(max_col=MAX_COLUMNS), start=1):
            header = rows[0][1] if rows else []
            texts = [_text(c, number, header, file, problems) for c in cells]
            while texts and not texts[-1]:
                texts.pop()
            filled += bool(texts)
            if filled > MAX_ROWS:
                problems.append(Problem(file, number, None, "one more row", f"at most {MAX_ROWS} rows"))
                return None
            if texts or not rows:
                rows.append((number, texts + [""] * (len(header) - len(texts))))
        return rows


def _text(cell: Any, row: int, header: list[str], file: str, problems: list[Problem]) -> str:
    value = cell.value
    if value is None:
        return ""
    column = header[cell.column - 1] if cell.column <= len(header) and header[cell.column - 1] else f"column {cell.column}"

    def refuse(found: str, expected: str) -> str:
        problems.append(Problem(file, row, column, found, expected))
        return TOLD

    if cell.data_type == "f":
        return refuse(str(value), "a value: paste the formula's result")
    if cell.data_type == "e":
        return refuse(str(value), "a value")
    if isinstance(value, bool):
        return refuse(str(value).upper(), "text or a number")
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    # Typed as 4/4 or 7/8, a spreadsheet makes it the fourth of April and keeps no trace of what was typed.
    if isinstance(value, datetime.datetime | datetime.date | datetime.time | datetime.timedelta):
        again = typed_again(value) if isinstance(value, datetime.date) else None
        return refuse(f"the date or time {value}", again or _AS_TEXT)
    return str(value)


def open_workbook(path: Path, file: str, problems: list[Problem]) -> Workbook | None:
    """Open a workbook, or note why it can't be: too large (packed or unpacked), no zip archive, no workbook."""
    if path.is_file() and path.stat().st_size > MAX_BYTES:
        problems.append(Problem(file, None, None, f"{path.stat().st_size} bytes", f"at most {MAX_BYTES} bytes"))
        return None
    if read_bytes(path, file, problems) is None:
        return None
    try:
        with zipfile.ZipFile(path) as archive:
            unpacked = sum(i.file_size for i in archive.infolist())
    except Exception:  # zipfile lets struct and codec errors through
        problems.append(Problem(file, None, None, "not a zip archive", "an .xlsx workbook"))
        return None
    if unpacked > MAX_UNPACKED_BYTES:
        problems.append(Problem(file, None, None, f"{unpacked} bytes unpacked", f"at most {MAX_UNPACKED_BYTES} bytes unpacked"))
        return None
    try:
        import openpyxl

        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return Workbook(path, openpyxl.load_workbook(path, read_only=True, data_only=False))
    except Exception:  # as above
        problems.append(Problem(file, None, None, "no workbook inside the zip archive", "an .xlsx workbook"))
        return None
