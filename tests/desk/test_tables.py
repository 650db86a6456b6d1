"""A job's tables as the desk reads and writes them. Invented data."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yieldopt.demo import inventory
from yieldopt.desk.tables import TABLES, ChangedMeanwhile, Grid, load, save
from yieldopt.reading import read_job

LETTERS = st.characters(min_codepoint=32, exclude_categories=("C", "Z")) | st.sampled_from(' ,;"')
CELLS = st.text(LETTERS, max_size=12).map(str.strip)
HEADER = TABLES["parts"].needed


@given(st.lists(st.lists(CELLS, min_size=len(HEADER), max_size=len(HEADER)).filter(any), max_size=6))
def test_what_was_typed_is_read_again(tmp_path_factory: pytest.TempPathFactory, rows: list[list[str]]) -> None:
    folder = tmp_path_factory.mktemp("job")
    typed = Grid(HEADER, tuple(map(tuple, rows)))
    now = save(folder, {"parts": typed})["parts"]
    assert (now.columns, now.rows) == (typed.columns, typed.rows)
    assert save(folder, {"parts": now})["parts"] == now


def test_rows_that_hold_nothing_are_not_written(tmp_path: Path) -> None:
    one, blank = ("rail", "2", "oak", "3/4", "3", "20"), ("",) * 6
    assert save(tmp_path, {"parts": Grid(HEADER, (blank, one, blank))})["parts"].rows == (one,)


@pytest.mark.parametrize("job", ["sideboard", "tool-rack"])
def test_a_job_read_and_written_again_is_the_same_job(tmp_path: Path, job: str) -> None:
    import shutil

    folder = tmp_path / job
    shutil.copytree(inventory() / job, folder)
    before = read_job(folder)
    grids = load(folder)
    save(folder, {stem: grid for stem, grid in grids.items() if grid.digest})
    assert read_job(folder) == before


def test_what_another_program_wrote_meanwhile_is_not_written_over(tmp_path: Path) -> None:
    save(tmp_path, {"parts": Grid(HEADER, (("rail", "2", "oak", "3/4", "3", "20"),))})
    mine = load(tmp_path)["parts"]
    other = (tmp_path / "parts.csv").read_text().replace("rail", "stile")
    (tmp_path / "parts.csv").write_text(other)
    typed = Grid(mine.columns, (("shelf", "1", "oak", "3/4", "9", "30"),), mine.digest)
    boards = Grid(TABLES["boards"].needed, (("A1", "oak", "4/4", "96"),))
    with pytest.raises(ChangedMeanwhile, match="parts") as changed:
        save(tmp_path, {"parts": typed, "boards": boards})
    assert changed.value.theirs["parts"].rows[0][0] == "stile"
    assert (tmp_path / "parts.csv").read_text() == other
    assert not (tmp_path / "boards.csv").exists()


def test_a_table_of_a_workbook_is_not_edited_here(tmp_path: Path) -> None:
    (tmp_path / "parts.xlsx").write_bytes(b"a workbook")
    found = load(tmp_path)["parts"]
    assert (found.elsewhere, found.rows) == ("parts.xlsx", ())


def test_a_title_and_semicolons_are_read(tmp_path: Path) -> None:
    (tmp_path / "parts.csv").write_text("A rack\npart;qty;species;thickness;width;length;my note\nrail;2;oak;19;7,5cm;400;dear\n")
    found = load(tmp_path)["parts"]
    assert found.columns == (*HEADER, "my note")
    assert found.rows == (("rail", "2", "oak", "19", "7,5cm", "400", "dear"),)
