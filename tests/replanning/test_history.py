"""What is kept of a job: every plan, who told what and when; ticks of phones; and what a crash in the middle leaves."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from two_doors import JOB

from yieldopt.cli import main
from yieldopt.ground.errors import UsageError
from yieldopt.ground.files import finish_writing, write_all_atomically
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job
from yieldopt.records.history import standing_of
from yieldopt.records.planfile import loads
from yieldopt.web.bench import Bench
from yieldopt.wood.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_job(JOB, seconds=3, seed=1, until_gap=0.02).plan


def again(old: Path, new: Path, *lines: str, who: str = "Ada") -> int:
    told = [o for text in lines for o in ("--happened", text)]
    return main(["replan", str(old / "plan.json"), "--out", str(new), "--seconds", "6", "--who", who, *told])


def test_every_plan_and_surprise_is_kept(tmp_path: Path, plan: Plan, capsys: pytest.CaptureFixture[str]) -> None:
    write_all_atomically(tmp_path / "1", plan_files(JOB, plan))
    first = (tmp_path / "1/plan.json").read_text(encoding="utf-8")
    again(tmp_path / "1", tmp_path / "2", "rail#1: done")
    again(tmp_path / "2", tmp_path / "2", "rail#2: spoiled", who="Ben")
    assert (tmp_path / "2/earlier/revision-1.json").read_text(encoding="utf-8") == first
    assert loads((tmp_path / "2/earlier/revision-2.json").read_text(encoding="utf-8")).revision == 2
    capsys.readouterr()
    assert main(["history", str(tmp_path / "2/plan.json")]) == 0
    told = capsys.readouterr().out
    assert told.index("revision 1") < told.index("revision 2") < told.index("revision 3")
    for word in ("Ada", "rail#1: done", "Ben", "rail#2: spoiled", "UTC"):
        assert word in told
    assert main(["history", str(tmp_path / "2/plan.json"), "--sheet", "3"]) == 0
    assert main(["history", str(tmp_path / "2/plan.json"), "--sheet", "1"]) == 1
    assert "SUPERSEDED" in capsys.readouterr().out


def test_a_sheet_from_the_future_is_no_superseded_one(plan: Plan) -> None:
    assert "newer" in standing_of(plan, 9)


def test_ticks_of_the_phone_page_are_taken_in(tmp_path: Path, plan: Plan, capsys: pytest.CaptureFixture[str]) -> None:
    write_all_atomically(tmp_path / "1", plan_files(JOB, plan))
    bench = Bench([tmp_path / "1"])
    digest = bench.show(0)["plan"]
    entry = plan.boards[0]
    tick = {"plan": digest, "board": entry.board, "was": "planned", "found": None, "cut": None, "piece": None}
    bench.tick(0, {**tick, "key": "a", "cut": entry.cuts[0].order, "state": "done"})
    bench.tick(0, {**tick, "key": "b", "piece": "rail#1", "state": "done"})
    # Two phones tick the same: the second is told what is there, and nothing is counted twice.
    bench.tick(0, {**tick, "key": "c", "piece": "rail#1", "state": "done"})
    bench.tick(
        0, {**tick, "key": "d", "found": {"kind": "stain", "face": "B", "x": "50", "y": "5", "length": "1/2", "width": "1/2"}}
    )
    assert again(tmp_path / "1", tmp_path / "2") == 0
    assert "1 cuts, 1 pieces done, 0 spoiled, 1 boards with defects" in capsys.readouterr().out
    new = loads((tmp_path / "2/plan.json").read_text(encoding="utf-8"))
    assert {p.piece: p.state for _, p in new.pieces()}["rail#1"] == "done"
    assert next(b for b in new.boards if b.board == entry.board).cuts[0].state == "done"
    assert "stain" in (tmp_path / "2/job/defects.csv").read_text(encoding="utf-8")
    # They belong to the plan they were made for: with the next one they are left alone.
    (tmp_path / "2/state.json").write_bytes((tmp_path / "1/state.json").read_bytes())
    assert again(tmp_path / "2", tmp_path / "3") == 0
    assert "another plan" in capsys.readouterr().out


def test_ticks_that_cannot_be_read_stop_everything(tmp_path: Path, plan: Plan, capsys: pytest.CaptureFixture[str]) -> None:
    write_all_atomically(tmp_path / "1", plan_files(JOB, plan))
    for text in ("{", '{"format": "other"}'):
        (tmp_path / "1/state.json").write_text(text, encoding="utf-8")
        assert again(tmp_path / "1", tmp_path / "2", "rail#1: done") == 2
        assert not (tmp_path / "2").exists()
        assert "ticks" in capsys.readouterr().err


CRASH = """
import os, sys
from pathlib import Path
from yieldopt.ground.files import write_all_atomically
steps, real = int(sys.argv[2]), os.replace
def replace(a, b):
    global steps
    steps -= 1
    if steps < 0:
        os.kill(os.getpid(), 9)
    real(a, b)
os.replace = replace
write_all_atomically(Path(sys.argv[1]), {"plan.json": "new", "job/parts.csv": "new", "earlier/revision-1.json": "new"})
"""


@pytest.mark.parametrize("steps", range(8))
def test_killed_in_the_middle_all_files_are_old_or_all_are_new(tmp_path: Path, steps: int) -> None:
    write_all_atomically(tmp_path, {"plan.json": "old", "job/parts.csv": "old"})
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    run = subprocess.run([sys.executable, "-c", CRASH, str(tmp_path), str(steps)], env=env, check=False)
    assert run.returncode == (-9 if steps < 7 else 0)
    finish_writing(tmp_path)
    found = {n: (tmp_path / n).read_text() for n in ("plan.json", "job/parts.csv")}
    assert len(set(found.values())) == 1
    assert (found["plan.json"] == "new") == (steps >= 4)
    # And the folder can be written again.
    write_all_atomically(tmp_path, {"plan.json": "newer", "job/parts.csv": "newer"})
    assert (tmp_path / "plan.json").read_text() == "newer"


def test_a_plan_from_the_command_says_who_and_when(tmp_path: Path) -> None:
    write_all_atomically(tmp_path, plan_files(JOB, Plan(JOB.name, "in", (), (), plan_job(JOB, seconds=0.5).plan.totals)))
    assert main(["plan", str(tmp_path / "job"), "--out", str(tmp_path / "out"), "--seconds", "1", "--quiet"]) in (0, 3)
    (entry,) = json.loads((tmp_path / "out/plan.json").read_text(encoding="utf-8"))["revisions"]
    assert entry["revision"] == 1
    assert entry["when"].endswith("+00:00")
    assert entry["who"]


def test_a_file_that_is_no_plan_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "plan.json").write_text("{}", encoding="utf-8")
    assert main(["history", str(tmp_path / "plan.json")]) == UsageError.exit_status
    assert "plan.json" in capsys.readouterr().err
