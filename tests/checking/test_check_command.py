"""`yieldopt check`: what it says and how it exits."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from breaking import summed
from layouts import layout
from workshop import JOB, plan_of

from yieldopt.cli import main
from yieldopt.ground.files import write_all_atomically
from yieldopt.reading.writing import job_files
from yieldopt.records.planfile import dumps
from yieldopt.wood.plan import Plan

WHOLE = next(plan_of(seed) for seed in range(200) if plan_of(seed).complete)
PART = next(plan_of(seed) for seed in range(200) if not plan_of(seed).complete)


def written(folder: Path, plan: Plan, job: str = "job") -> Path:
    write_all_atomically(folder / job, job_files(JOB))
    (folder / "plan.json").write_text(dumps(plan), encoding="utf-8")
    return folder / "plan.json"


def test_a_good_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(written(tmp_path, WHOLE))]) == 0
    said = capsys.readouterr().out
    assert "keeps every rule" in said
    assert "INCOMPLETE" not in said


def test_an_incomplete_plan_passes_and_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(written(tmp_path, PART, "elsewhere")), "--job", str(tmp_path / "elsewhere")]) == 0
    said = capsys.readouterr().out
    assert "INCOMPLETE" in said
    assert all(u.part in said for u in PART.unplaced)


def test_every_breach_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path, WHOLE)
    body = json.loads(path.read_text(encoding="utf-8"))
    body["boards"][0]["cost"] += 7
    body["boards"][0]["cuts"][0]["kerf"] *= 2
    path.write_text(json.dumps(body), encoding="utf-8")
    assert main(["check", str(path)]) == 1
    said = capsys.readouterr().out
    assert "[811]" in said
    assert "[703]" in said
    assert "do not cut" in said


@pytest.mark.parametrize("text", ["", "{}", "[]", "nonsense", '{"format": "yieldopt-plan/2"}', "\xff", "[" * 100_000])
def test_what_is_no_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str) -> None:
    path = written(tmp_path, WHOLE)
    path.write_text(text, encoding="latin-1")
    assert main(["check", str(path)]) == 2
    assert "plan.json" in capsys.readouterr().err


def test_a_missing_plan_or_job(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path / "plan.json")]) == 2
    (tmp_path / "plan.json").write_text(dumps(summed(JOB, layout(JOB, 1))), encoding="utf-8")
    assert main(["check", str(tmp_path / "plan.json")]) == 2
    assert "Traceback" not in capsys.readouterr().err
