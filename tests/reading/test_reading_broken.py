"""Each folder below `broken/` is the sound job with the one mistake it is named after; `expected.txt` is the whole message."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from yieldopt.ground.errors import InputError
from yieldopt.reading import read_job

HERE = Path(__file__).parent
BROKEN = sorted(p.name for p in (HERE / "broken").iterdir())


def broken_job(name: str, folder: Path) -> Path:
    """The sound job with the files of one broken folder laid over it; `absent` names a file to take away."""
    job = folder / "job"
    shutil.copytree(HERE / "sound", job)
    for file in (HERE / "broken" / name).iterdir():
        if file.name == "absent":
            (job / file.read_text().strip()).unlink()
        elif file.name != "expected.txt":
            shutil.copy(file, job / file.name)
    return job


@pytest.mark.parametrize("name", BROKEN)
def test_the_mistake_is_named_in_full_and_nothing_is_written(name: str, tmp_path: Path) -> None:
    job = broken_job(name, tmp_path)
    before = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    with pytest.raises(InputError) as caught:
        read_job(job)
    assert str(caught.value) + "\n" == (HERE / "broken" / name / "expected.txt").read_text(encoding="utf-8")
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == before


def test_the_sound_job_has_no_mistake() -> None:
    assert read_job(HERE / "sound").name == "hall bench"


def test_every_folder_differs_from_the_sound_job() -> None:
    for name in BROKEN:
        files = [p for p in (HERE / "broken" / name).iterdir() if p.name not in ("expected.txt", "absent")]
        assert all(p.read_bytes() != (HERE / "sound" / p.name).read_bytes() for p in files), name


def test_a_folder_that_is_a_file_and_one_that_is_not_there(tmp_path: Path) -> None:
    (tmp_path / "job").write_text("no folder")
    with pytest.raises(InputError) as caught:
        read_job(tmp_path / "job")
    assert str(caught.value) == f"{tmp_path}/job: found 'a file', expected a job folder with job.toml, parts.csv and boards.csv"
    with pytest.raises(InputError) as caught:
        read_job(tmp_path / "none")
    assert str(caught.value) == f"{tmp_path}/none: found nothing, expected a job folder with job.toml, parts.csv and boards.csv"


def test_a_file_of_50_mb_is_refused_unread(tmp_path: Path) -> None:
    job = tmp_path / "job"
    shutil.copytree(HERE / "sound", job)
    for name in ("parts.csv", "job.toml"):
        with (job / name).open("wb") as f:
            f.truncate(50_000_000)
    with pytest.raises(InputError) as caught:
        read_job(job)
    assert str(caught.value) == (
        "job.toml: found '50000000 bytes', expected at most 40000000 bytes\n"
        "parts.csv: found '50000000 bytes', expected at most 40000000 bytes"
    )


def test_rows_columns_and_cells_have_limits(tmp_path: Path) -> None:
    job = tmp_path / "job"
    shutil.copytree(HERE / "sound", job)
    (job / "pins.csv").write_text("piece,board,x,y\n" + "door#1,E1,2,2\n" * 200_000)
    (job / "edges.csv").write_text("board,x,near,far" + ",n" * 200 + "\n")
    (job / "defects.csv").write_text("board,kind,x,y,length,width,note\nE1,knot,1,1,1,1," + "n" * 10_001 + "\n")
    (job / "prices.csv").write_text("dealer,species,quarters,price_bf\n" + "n" * 140_000 + ",elm,4/4,1\n")
    with pytest.raises(InputError) as caught:
        read_job(job)
    assert str(caught.value) == (
        "edges.csv, row 1: found '204 cells', expected at most 200 columns\n"
        "defects.csv, row 2, note: found '10001 characters', expected at most 10000 characters\n"
        "pins.csv, row 200001: found 'one more row', expected at most 200000 rows\n"
        "prices.csv, row 2: found 'field larger than field limit (131072)', "
        "expected cells that start with a quote to end with one"
    )


def test_a_folder_or_a_pipe_in_place_of_a_file(tmp_path: Path) -> None:
    import os

    job = tmp_path / "job"
    shutil.copytree(HERE / "sound", job)
    (job / "parts.csv").unlink()
    (job / "parts.csv").mkdir()
    (job / "pins.csv").unlink()
    os.mkfifo(job / "pins.csv")
    with pytest.raises(InputError) as caught:
        read_job(job)
    assert str(caught.value) == (
        "parts.csv: found 'a folder', expected a file\npins.csv: found 'something that is not a file', expected a file"
    )


def test_boards_that_could_not_be_read_draw_no_second_complaint(tmp_path: Path) -> None:
    job = tmp_path / "job"
    shutil.copytree(HERE / "sound", job)
    text = (job / "boards.csv").read_text()
    (job / "boards.csv").write_text(text.replace("E1,elm,8/4", "E1,elm,thick").replace("E2,elm,4/4", "E2,elm,thin"))
    with pytest.raises(InputError) as caught:
        read_job(job)
    assert [(p.row, p.column) for p in caught.value.problems] == [(2, "quarters"), (3, "quarters")]
    (job / "boards.csv").write_bytes(b"\x8e" + text.encode())
    with pytest.raises(InputError) as caught:
        read_job(job)
    assert (
        str(caught.value) == "boards.csv, row 1: found 'byte 0x8e at byte offset 0', expected UTF-8 text: save it as “CSV UTF-8”"
    )


def test_reading_stops_when_nobody_could_mend_it_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    job = tmp_path / "job"
    shutil.copytree(HERE / "sound", job)
    (job / "pins.csv").write_text("piece,board,x,y\n" + "gate#1,E1,nan,2\n" * 50)
    (job / "prices.csv").write_text("dealer,species,quarters,price_bf\n,,,\n")
    monkeypatch.setattr("yieldopt.reading.tables.MAX_PROBLEMS", 5)
    with pytest.raises(InputError) as caught:
        read_job(job)
    assert [p.row for p in caught.value.problems] == [2, 2, 3, 3, 4, 4, 5]
    assert str(caught.value.problems[-1]) == "pins.csv, row 5: found '6 mistakes so far', expected fewer, to continue reading"
