"""A sheet of an earlier plan in the folder is told of: its board is not cut any more. Invented data."""

from __future__ import annotations

from fractions import Fraction as F
from pathlib import Path

import pytest

from yieldopt.cli import main
from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job
from yieldopt.wood.lumber import Board, Job, Part


def test_a_sheet_of_an_earlier_plan_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    board = Board("A1", "ash", "4/4", F(1), F(48), F(6), F(1), cost=F(20))
    job = Job("rails", "in", (Part("rail", 1, "ash", F(3, 4), F(3), F(20)),), (board,))
    write_all_atomically(tmp_path, plan_files(job, plan_job(job, steps=1).plan))
    command = ["chalk", str(tmp_path / "plan.json"), "--out", str(tmp_path)]
    assert main(command) == 0
    assert "earlier plan" not in capsys.readouterr().out
    (tmp_path / "sheets" / "A7.svg").write_text("<svg/>")
    assert main(command) == 0
    assert "of boards that this one does not cut: A7.svg" in capsys.readouterr().out
    assert (tmp_path / "sheets" / "A7.svg").exists()
