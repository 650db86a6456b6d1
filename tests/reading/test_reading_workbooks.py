"""Spreadsheets as people keep them: one workbook a table or one for all, numbers as numbers; and what can be wrong with them."""

from __future__ import annotations

import csv
import datetime
import io
import shutil
import zipfile
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from annotated import everything

from yieldopt.ground.errors import InputError
from yieldopt.reading import read_defects, read_job

SOUND = Path(__file__).parent / "sound"


def book(**sheets: list[list[Any]]) -> bytes:
    """An .xlsx workbook with these sheets, cells as given."""
    made = openpyxl.Workbook()
    made.remove(made.active)
    for title, rows in sheets.items():
        sheet = made.create_sheet(title)
        for row in rows:
            sheet.append(row)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def cells(name: str) -> list[list[Any]]:
    """The rows of one of the sound job's tables; whole numbers as numbers, as a spreadsheet would hold them."""
    rows = csv.reader((SOUND / f"{name}.csv").read_text().splitlines())
    return [[int(c) if c.isdigit() else float(c) if c.replace(".", "", 1).isdigit() else c or None for c in row] for row in rows]


def message(folder: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_job(folder)
    return str(caught.value)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A copy of the sound job to change."""
    return Path(shutil.copytree(SOUND, tmp_path / "job"))


TABLES = ("parts", "boards", "defects", "edges", "pins", "prices")


def test_a_workbook_a_table_reads_like_csv(job: Path) -> None:
    for name in TABLES:
        (job / f"{name}.csv").unlink()
        (job / f"{name}.xlsx").write_bytes(book(**{name: cells(name)}))
    assert everything(read_job(job)) == everything(read_job(SOUND))


def test_one_workbook_for_all_tables_reads_like_csv(job: Path) -> None:
    for name in TABLES:
        (job / f"{name}.csv").unlink()
    (job / "job.xlsx").write_bytes(book(**{name.title(): cells(name) for name in TABLES}, scratch=[["anything", 1]]))
    assert everything(read_job(job)) == everything(read_job(SOUND))


def test_the_only_sheet_is_taken_whatever_its_name_and_blank_rows_count(job: Path) -> None:
    (job / "pins.csv").unlink()
    (job / "pins.xlsx").write_bytes(book(Sheet1=[["piece", "board", "x", "y"], [None], ["door#9", "E1", 2, 0.5]]))
    assert message(job) == "pins.xlsx, row 3, piece: found 'door#9', expected door#1 to door#2"


def test_numbers_are_taken_as_the_shortest_decimal_they_print_as(tmp_path: Path) -> None:
    path = tmp_path / "found.xlsx"
    path.write_bytes(book(defects=[["board", "kind", "x", "y", "length", "width"], ["E1", "check", 7.1, 1.0, 0.375, 1]]))
    found = read_defects(path, read_job(SOUND).boards, "in")["E1"][0]
    assert (found.x, found.y, found.length, found.width) == (F("7.1"), 1, F("0.375"), 1)


def test_cells_that_are_no_text_or_number_are_named(job: Path) -> None:
    rows = cells("boards")
    rows[1][2] = datetime.datetime(2024, 4, 4)  # what a spreadsheet makes of 4/4
    rows[2][3] = "=10*12"
    rows[3][4] = True
    rows[4][12] = "#N/A"
    (job / "boards.csv").unlink()
    (job / "boards.xlsx").write_bytes(book(boards=rows))
    lines = message(job).splitlines()
    assert lines[:4] == [
        "boards.xlsx, row 2, quarters: found 'the date or time 2024-04-04 00:00:00', "
        "expected 4/4, of which a spreadsheet made a date: format the column as text and type it again",
        "boards.xlsx, row 3, length: found '=10*12', expected a value: paste the formula's result",
        "boards.xlsx, row 4, width: found 'TRUE', expected text or a number",
        "boards.xlsx, row 5, cost: found '#N/A', expected a value",
    ]


def test_a_table_in_two_places_is_refused(job: Path) -> None:
    (job / "pins.xlsx").write_bytes(book(pins=cells("pins")))
    (job / "job.xlsx").write_bytes(book(prices=cells("prices")))
    assert message(job) == (
        "pins.csv: found 'pins.csv and pins.xlsx', expected the table pins in one place\n"
        "prices.csv: found 'prices.csv and job.xlsx', expected the table prices in one place"
    )


def _no_workbook() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as z:
        z.writestr("hello.txt", "no workbook")
    return out.getvalue()


def _bomb() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as z:
        z.writestr("xl/workbook.xml", b" " * 130_000_000)
    return out.getvalue()


_CUT_SHORT = (
    b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><dimension ref="A1:D2"/>'
    b'<sheetData><row r="1"><c r="A1"'
)


def _broken_sheet() -> bytes:
    whole, out = zipfile.ZipFile(io.BytesIO(book(pins=[["piece"]]))), io.BytesIO()
    with zipfile.ZipFile(out, "w") as z:
        for name in whole.namelist():
            z.writestr(name, _CUT_SHORT if "sheet1" in name else whole.read(name))
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"piece,board,x,y\n", "found 'not a zip archive', expected an .xlsx workbook"),
        (b"", "found 'not a zip archive', expected an .xlsx workbook"),
        (b"PK\x03\x04" + b"\0" * 200, "found 'not a zip archive', expected an .xlsx workbook"),
        (_no_workbook(), "found 'no workbook inside the zip archive', expected an .xlsx workbook"),
        (_bomb(), "found '130000000 bytes unpacked', expected at most 120000000 bytes unpacked"),
        (_broken_sheet(), "found 'ParseError while reading', expected a sheet of an .xlsx workbook"),
        (
            book(one=[["piece"]], two=[["board"]]),
            "found 'sheets named one, two', expected a sheet named pins, or one sheet headed by piece, board, x, y",
        ),
        (book(pins=[]), "found nothing, expected a header row with the columns piece, board, x, y"),
    ],
    ids=["csv", "empty", "cut short", "another archive", "bomb", "broken sheet", "no such sheet", "no rows"],
)
def test_what_is_no_workbook(content: bytes, expected: str, job: Path) -> None:
    (job / "pins.csv").unlink()
    (job / "pins.xlsx").write_bytes(content)
    assert message(job).replace(", row 1: found nothing", ": found nothing") == f"pins.xlsx: {expected}"


def test_a_broken_workbook_for_all_tables_is_named_once(job: Path) -> None:
    (job / "job.xlsx").write_bytes(b"no zip")
    assert message(job) == "job.xlsx: found 'not a zip archive', expected an .xlsx workbook"


def test_a_workbook_of_50_mb_is_refused_unread(job: Path) -> None:
    (job / "pins.csv").unlink()
    with (job / "pins.xlsx").open("wb") as f:
        f.truncate(50_000_000)
    assert message(job) == "pins.xlsx: found '50000000 bytes', expected at most 40000000 bytes"
