"""What is written is read back whole, as CSV and as workbooks; cells that a spreadsheet would run come out harmless."""

from __future__ import annotations

import csv
import io
import tempfile
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path
from types import MappingProxyType

import openpyxl
from annotated import annotated_jobs, everything, put
from hypothesis import given, settings
from hypothesis import strategies as st

from yieldopt.ground.lengths import Units
from yieldopt.reading import read_boards, read_job
from yieldopt.reading.cells import as_meant, harmless
from yieldopt.reading.columns import TABLES
from yieldopt.reading.writing import board_files, board_workbooks, job_files, job_workbooks
from yieldopt.wood.lumber import Job

SOUND = Path(__file__).parent / "sound"


def assert_harmless(name: str, text: str) -> None:
    """No text cell of a CSV starts as a formula does; lengths measured below a snapped line may start with a minus."""
    rows = list(csv.reader(io.StringIO(text, newline="")))
    for row in rows:
        for header, cell in zip(rows[0], row, strict=True):
            assert header in ("x", "y", "near", "far") or not cell.startswith(("=", "+", "-", "@", "\t", "\r")), (
                name,
                header,
                cell,
            )


@settings(max_examples=15)
@given(job=annotated_jobs())
def test_every_job_comes_back_equal_with_all_its_notes_by_every_route(job: Job) -> None:
    whole = everything(job)
    for files in (job_files(job), job_workbooks(job)):
        with tempfile.TemporaryDirectory() as folder:
            back = read_job(put(Path(folder), files))
        assert back == job
        # Drawn sizes look odd at times, which is said when they are read.
        assert everything(replace(back, remarks=())) == whole
    racks: list[tuple[Units, Mapping[str, str | bytes]]] = [
        ("in", board_files(job.boards)),
        ("mm", board_files(job.boards, "mm")),
        (job.units, board_workbooks(job.boards, job.units)),
    ]
    for units, rack in racks:
        with tempfile.TemporaryDirectory() as folder:
            assert everything(read_boards(put(Path(folder), rack), units)) == whole["boards"]
    for name, text in job_files(job).items():
        if name.endswith(".csv"):
            assert_harmless(name, text)


@given(st.text() | st.text(alphabet="'=+-@\t a", max_size=6))
def test_harmless_cells_mean_what_they_meant(text: str) -> None:
    assert as_meant(harmless(text)) == text
    assert not harmless(text).startswith(("=", "+", "-", "@", "\t", "\r"))


def test_every_table_and_setting_is_written() -> None:
    files = job_files(read_job(SOUND))
    assert set(files) == {"job.toml", *(f"{t.stem}.csv" for t in TABLES)}
    for table in TABLES:
        assert tuple(next(csv.reader(io.StringIO(files[f"{table.stem}.csv"]))))[: len(table.known)] == table.known
    assert files["pins.csv"] == "piece,board,x,y,layer\ndoor#1,E1,2,1/2,1\nseat#1/2,E2,2,1,\n"
    assert 'resaw = "1/16"\n' in files["job.toml"]
    assert "offcut_credit = 0.6\n" in files["job.toml"]


def test_writing_what_was_read_from_what_was_written_changes_nothing() -> None:
    first = job_files(read_job(SOUND))
    with tempfile.TemporaryDirectory() as folder:
        assert job_files(read_job(put(Path(folder), first))) == first


def test_awkward_settings_come_back(tmp_path: Path) -> None:
    job = read_job(SOUND)
    odd = replace(
        job,
        name='a "quoted" \\ name — 木',
        leave=frozenset({"E1", "E3"}),
        shop=replace(job.shop, values=replace(job.shop.values, offcut_credit=F(1, 3)), kerf=replace(job.shop.kerf, rip=F(1, 7))),
    )
    assert read_job(put(tmp_path, job_files(odd))) == odd


def test_workbook_cells_are_text_so_that_quarters_stay_quarters() -> None:
    job = read_job(SOUND)
    marked = replace(job, boards=(replace(job.boards[0], notes=MappingProxyType({"note": "=1+1"})), *job.boards[1:]))
    sheet = openpyxl.load_workbook(io.BytesIO(job_workbooks(marked)["boards.xlsx"]))["boards"]
    cells = {c.value: c for row in sheet.iter_rows() for c in row if c.value is not None}
    assert cells["8/4"].data_type == "s"
    assert cells["8/4"].number_format == "@"
    assert cells["'=1+1"].data_type == "s"
