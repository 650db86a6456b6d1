"""What the desk says is wrong is what the command line says, at the cell. Invented data."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from yieldopt.cli import main
from yieldopt.demo import inventory
from yieldopt.desk.mistakes import judged
from yieldopt.desk.tables import Grid, load, save


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(inventory() / "tool-rack", tmp_path / "rack"))


def with_cell(grid: Grid, row: int, column: str, text: str) -> Grid:
    rows = [list(r) for r in grid.rows]
    rows[row][grid.columns.index(column)] = text
    return replace(grid, rows=tuple(map(tuple, rows)))


def test_a_sound_job_has_none(folder: Path) -> None:
    found = judged(folder, load(folder))
    assert found.mistakes == ()
    assert found.job is not None


def test_each_stands_at_its_cell_in_the_words_of_the_command_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    grids = load(folder)
    grids["parts"] = with_cell(with_cell(grids["parts"], 1, "width", "13O"), 4, "qty", "none")
    grids["defects"] = with_cell(grids["defects"], 0, "kind", "hole?")
    before = {p.name: p.read_bytes() for p in folder.iterdir() if p.is_file()}
    found = judged(folder, grids)
    assert {p.name: p.read_bytes() for p in folder.iterdir() if p.is_file()} == before
    places = {(m.table, m.row, m.column) for m in found.mistakes}
    assert {("parts", 1, "width"), ("parts", 4, "qty"), ("defects", 0, "kind")} <= places
    assert found.job is None
    save(folder, grids)
    assert main(["plan", str(folder), "--out", str(folder / "plan")]) == 2
    told = capsys.readouterr().err
    assert all(m.text in told for m in found.mistakes)


def test_rows_that_hold_nothing_move_no_mistake(folder: Path) -> None:
    grids = load(folder)
    parts = grids["parts"]
    blank = ("",) * len(parts.columns)
    grids["parts"] = with_cell(replace(parts, rows=(blank, *parts.rows[:2], blank, *parts.rows[2:])), 4, "length", "long")
    (mistake,) = judged(folder, grids).mistakes
    assert (mistake.table, mistake.row, mistake.column) == ("parts", 4, "length")


def test_a_mistake_in_the_settings_is_of_no_table(folder: Path) -> None:
    (folder / "job.toml").write_text((folder / "job.toml").read_text() + "\n[nonsense]\nx = 1\n")
    assert {m.table for m in judged(folder, load(folder)).mistakes} == {"job.toml"}
