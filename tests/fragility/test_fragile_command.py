"""`yieldopt fragile` as it is run: what it prints and writes, odd options, Ctrl-C, a shop's own rack."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from rails import ONE, RAIL, boards, planned

from yieldopt.checking import check
from yieldopt.cli import main
from yieldopt.ground.deadline import Deadline
from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import plan_files
from yieldopt.rack.cut.booking import Corrections
from yieldopt.rack.door.facade import Rack
from yieldopt.reading import read_job
from yieldopt.records.planfile import loads
from yieldopt.wood.lumber import Job
from yieldopt.workers.runner import Runner


def test_at_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = Job("roomy", "in", (RAIL,), boards(2))
    write_all_atomically(tmp_path / "p", plan_files(job, planned(job)))
    args = ["fragile", str(tmp_path / "p/plan.json"), "--draws", "30", "--spoil", "0.3", "--hidden", "0", "--quiet"]
    assert main(args) == 0
    told = capsys.readouterr().out
    assert "chance of finishing from the stock in hand" in told
    assert "rail: a piece is lost" in told
    assert "risky boards first" in told
    assert main([*args, "--chance", "60%", "--out", str(tmp_path / "r")]) == 0
    told = capsys.readouterr().out
    assert "on fresh ones" in told
    plan = loads((tmp_path / "r/plan.json").read_text(encoding="utf-8"))
    assert not check(read_job(tmp_path / "r/job"), plan)
    assert json.loads((tmp_path / "r/plan.json").read_text())["robust"]["draws"] == 30
    assert main([*args, "--chance", "99.9%", "--spoil", "0.5", "--out", str(tmp_path / "n")]) == 3
    assert "no plan found has a chance of 99.9 %" in capsys.readouterr().out


@pytest.mark.parametrize(
    "option", [["--draws", "1"], ["--hidden", "-1"], ["--spoil", "2"], ["--chance", "150%"], ["--seconds", "0"]]
)
def test_odd_options_are_refused(tmp_path: Path, option: list[str]) -> None:
    job = Job("roomy", "in", (RAIL,), boards(1))
    write_all_atomically(tmp_path / "p", plan_files(job, planned(job)))
    assert main(["fragile", str(tmp_path / "p/plan.json"), *option]) == 2


def test_the_rack_tells_how_many_pieces_were_spoiled(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = Job("roomy", "in", (replace(RAIL, qty=2),), boards(2))
    plan = planned(job)
    write_all_atomically(tmp_path / "p", plan_files(job, plan))
    file = tmp_path / "r.sqlite"
    assert main(["rack", "load", str(tmp_path / "p/job"), "--rack", str(file)]) == 0
    with Rack.open(file) as rack:
        assert rack.spoiled_by_species() == {}
        rack.book(plan, parts=job.part_named, fix=Corrections(spoiled=frozenset({"rail#1"})))
        assert rack.spoiled_by_species() == {"ash": (2, 1)}
        rack.undo()
        assert rack.spoiled_by_species() == {}
    args = ["fragile", str(tmp_path / "p/plan.json"), "--draws", "2", "--quiet", "--rack", str(file)]
    assert main(args) == 0
    assert "chance of finishing" in capsys.readouterr().out


def test_ctrl_c_ends_with_the_draws_made(tmp_path: Path) -> None:
    """The first line of progress is waited for, so that the signal comes while draws are made."""
    job = Job("roomy", "in", (RAIL,), boards(2))
    write_all_atomically(tmp_path / "p", plan_files(job, planned(job)))
    command = [sys.executable, "-m", "yieldopt", "fragile", str(tmp_path / "p/plan.json"), "--draws", "100000"]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env) as run:
        assert run.stderr is not None
        assert "25 of 100000" in run.stderr.readline()
        run.send_signal(signal.SIGINT)
        told, _ = run.communicate(timeout=120)
    assert run.returncode == 0
    assert "chance of finishing from the stock in hand" in told


def test_draws_made_before_the_processes_count_where_these_are_stopped_before_their_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A later draw may be done, and be on the screen, before the first one is; only those from the first on count."""
    job = Job("roomy", "in", (RAIL,), boards(2))
    write_all_atomically(tmp_path / "p", plan_files(job, planned(job)))

    def none_in_order(runner: Runner, do: object, tasks: object, deadline: Deadline, each: float) -> Iterator[object]:
        deadline.stop()
        return iter(())

    monkeypatch.setattr("yieldopt.fragility.inquiry.POOL_PAYS", 0.0)
    monkeypatch.setattr(Runner, "start", lambda self: None)
    monkeypatch.setattr(Runner, "run", none_in_order)
    assert main(["fragile", str(tmp_path / "p/plan.json"), "--draws", "100"]) == 0
    assert "chance of finishing from the stock in hand" in capsys.readouterr().out


def test_the_rack_tells_which_flaws_came_to_light_while_boards_were_cut(tmp_path: Path) -> None:
    """Told of in a surprise, kept with the plan's job, booked with its boards; offcuts of the board have it too."""
    long = replace(ONE, length=F(60), cost=F(40), notes={})
    job = Job("late", "in", (RAIL,), (long,))
    plan = planned(job)
    write_all_atomically(tmp_path / "p", plan_files(job, plan))
    file = tmp_path / "r.sqlite"
    assert main(["rack", "load", str(tmp_path / "p/job"), "--rack", str(file)]) == 0
    (offcut,) = (o for o in plan.boards[0].offcuts if o.kept)
    knot = f"A1: knot on A at {float(offcut.x) + 4}, 1/2, 1 x 1/2"
    told = ["--happened", knot, "--happened", "A1: all cut", "--happened", "rail#1: done", "--seconds", "4"]
    assert main(["replan", str(tmp_path / "p/plan.json"), *told, "--out", str(tmp_path / "n")]) == 0
    assert main(["rack", "cut", str(tmp_path / "n/plan.json"), "--rack", str(file)]) == 0
    with Rack.open(file) as rack:
        assert [(r.name, found) for r, found in rack.opened_boards()] == [("A1", 1)]
        (left,) = (r for r in rack.boards() if r.origin is not None)
        assert [d.kind for d in left.board.defects] == ["knot"]
        rack.undo()
        assert rack.opened_boards() == []
        assert not rack.board("A1").board.defects
