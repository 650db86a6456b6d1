"""A blank job: it reads back as the defaults, explains every setting, and never lands on another job."""

from __future__ import annotations

import csv
import tomllib
from dataclasses import fields
from pathlib import Path

import pytest

from yieldopt.cli import main
from yieldopt.ground.errors import InputError, Problem
from yieldopt.reading import read_job
from yieldopt.reading.blank import MEANING, PRACTICE, blank_files
from yieldopt.reading.settings import SECTIONS, settings_in
from yieldopt.wood.lumber import Shop


@pytest.mark.parametrize("units", ["in", "mm"])
def test_only_the_parts_are_missing(units: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "hall bench"
    assert main(["new", str(folder), "--units", units]) == 0
    assert "yieldopt plan" in capsys.readouterr().out
    with pytest.raises(InputError) as caught:
        read_job(folder)
    assert [str(p) for p in caught.value.problems] == ["parts.csv, row 2: found nothing, expected at least one part"]


def test_filled_in_it_is_a_job_with_the_defaults_and_the_practice_values(tmp_path: Path) -> None:
    assert main(["new", str(tmp_path / "shelf")]) == 0
    with (tmp_path / "shelf" / "parts.csv").open("a", encoding="utf-8") as f:
        f.write("rail,2,oak,3/4,2,26" + "," * 20 + "\n")
    header = next(csv.reader((tmp_path / "shelf" / "parts.csv").open(encoding="utf-8")))
    text = (tmp_path / "shelf" / "parts.csv").read_text(encoding="utf-8").splitlines()
    (tmp_path / "shelf" / "parts.csv").write_text(f"{text[0]}\nrail,2,oak,3/4,2,26{',' * (len(header) - 6)}\n", encoding="utf-8")
    job = read_job(tmp_path / "shelf")
    assert (job.name, job.units, job.remarks) == ("shelf", "in", ())
    for section in fields(Shop):
        for setting in fields(getattr(Shop(), section.name)):
            wanted = PRACTICE.get(setting.name, setting.default)
            assert getattr(getattr(job.shop, section.name), setting.name) == wanted, setting.name


def test_every_setting_is_explained_and_stands_in_the_file() -> None:
    settings = {f.name for kind in SECTIONS.values() for f in fields(kind)}
    assert set(MEANING) == settings
    text = blank_files("n", "in")["job.toml"]
    assert all(f"{name} = " in text and MEANING[name] in text for name in settings)


def test_with_every_setting_switched_on_it_still_reads(tmp_path: Path) -> None:
    for units in ("in", "mm"):
        lines = blank_files('a "b" \\ c', units)["job.toml"].splitlines()  # type: ignore[arg-type]
        on = [line.removeprefix("# ") if " = " in line and '= ""' not in line else line for line in lines]
        body = tomllib.loads("\n".join(on))
        assert body["name"] == 'a "b" \\ c'
        assert body["values"]["offcut_credit"] == 0.6
        assert body["machines"]["planer_width"] == {"in": "13", "mm": "330"}[units]
        (tmp_path / units).mkdir()
        (tmp_path / units / "job.toml").write_text("\n".join(on), encoding="utf-8")
        problems: list[Problem] = []
        settings_in(tmp_path / units, problems)
        assert problems == []


def test_a_folder_with_a_job_is_left_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "parts.csv").write_text("mine", encoding="utf-8")
    assert main(["new", str(tmp_path)]) == 2
    assert "found parts.csv, expected a folder without a job" in capsys.readouterr().err
    assert [p.name for p in tmp_path.iterdir()] == ["parts.csv"]
