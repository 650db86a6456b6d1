"""Planning from a rack, through the command line: which boards a job sees, holds and gives back."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from making import entry

from yieldopt.cli import main
from yieldopt.ground.errors import InputError
from yieldopt.planned.running import take_boards
from yieldopt.rack.books.holding import PLANNER_SECONDS
from yieldopt.rack.door.facade import Rack
from yieldopt.reading import read_job

PARTS = "part,qty,species,thickness,width,length,from,staves\n"
# By steps: a clock would leave a busy machine too few of them.
SEARCH = ["--steps", "12", "--quiet"]


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job folder: two rails of ash."""
    return folder(tmp_path / "job", "sideboard", "rail,2,ash,3/4,2,30,,\n")


def folder(path: Path, name: str, parts: str, more: str = "") -> Path:
    path.mkdir()
    (path / "job.toml").write_text(f'name = "{name}"\n{more}', encoding="utf-8")
    (path / "parts.csv").write_text(PARTS + parts, encoding="utf-8")
    return path


def test_a_plan_holds_the_boards_it_cuts_and_says_so(
    rack: Rack, where: str, job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rack.log_all([entry("A1"), entry("A2"), entry("C1", species="cherry")])
    out = job.parent / "out"
    assert main(["plan", str(job), "--rack", where, "--out", str(out), *SEARCH]) == 0
    plan = json.loads((out / "plan.json").read_text())
    cut = [b["board"] for b in plan["boards"]]
    assert plan["holds"] == cut
    assert f"held for sideboard: {', '.join(cut)}" in capsys.readouterr().out
    assert [rack.board(i).name for i in rack.holds("sideboard")] == cut
    # The job as planned has the boards it looked at, and stands on its own.
    assert {b.name for b in read_job(out / "job").boards} == {"A1", "A2"}
    assert main(["check", str(out / "plan.json")]) == 0

    other = folder(job.parent / "bench", "bench", "slat,2,ash,3/4,2,30,,\n")
    assert main(["plan", str(other), "--rack", where, "--out", str(job.parent / "out2"), *SEARCH]) == 0
    second = [b["board"] for b in json.loads((job.parent / "out2" / "plan.json").read_text())["boards"]]
    assert set(second).isdisjoint(cut)
    assert f"not looked at, held for another job: {cut[0]} (sideboard)" in capsys.readouterr().out
    # The first job may be planned anew with its own boards, and gives back what it no longer needs.
    assert main(["plan", str(job), "--rack", where, "--out", str(out), *SEARCH]) == 0
    again = [b["board"] for b in json.loads((out / "plan.json").read_text())["boards"]]
    assert sorted(rack.board(i).name for i in rack.holds("sideboard")) == sorted(again)
    assert [rack.board(i).name for i in rack.holds("bench")] == second


def test_readings_go_with_the_boards_and_warn_before_gluing(
    rack: Rack, where: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from fractions import Fraction as F

    rack.log_all(
        [entry("A1", length=F(40), moisture=(F(7), F(13, 2)), place="bay 3"), entry("A2", length=F(40), moisture=(F(10),))]
    )
    panel = folder(tmp_path / "panel", "panel", "top,1,ash,3/4,12,32,,2 to 8\n")
    out = tmp_path / "out"
    assert main(["plan", str(panel), "--rack", where, "--out", str(out), *SEARCH]) == 0
    words = "A1 reads 6.5 % and A2 10 %: 3.5 points apart, more than 2 (common practice)"
    assert f"gluing top#1: {words}" in capsys.readouterr().out
    notes = {b.name: dict(b.notes) for b in read_job(out / "job").boards}
    assert notes["A1"] | {"moisture": "7; 6.5", "place": "bay 3"} == notes["A1"]
    assert "rack_id" not in notes["A1"]
    year = ["--year", "30", "60"]
    assert main(["movement", "--plan", str(out / "plan.json"), *year]) == 0
    assert words in capsys.readouterr().out


def test_a_board_that_is_held_is_named_with_its_job(
    rack: Rack, where: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rack.log_all([entry("A1"), entry("A2")])
    rack.hold("bench", ["A1"])
    only = folder(tmp_path / "only", "only", "rail,2,ash,3/4,2,30,A1,\n")
    (only / "pins.csv").write_text("piece,board,x,y\nrail#1,A1,10,0\n", encoding="utf-8")
    assert main(["plan", str(only), "--rack", where, "--out", str(tmp_path / "out"), *SEARCH]) == 2
    complaint = capsys.readouterr().err
    free = "expected a board that is free; this one is held for bench"
    assert f"parts.csv, row 2, from: found 'A1', {free}" in complaint
    assert f"pins.csv, row 2, board: found 'A1', {free}" in complaint
    assert not (tmp_path / "out").exists()
    assert not rack.holds("only")
    # One that may come from another board too does; a board that was to be left alone is out of reach anyway.
    either = folder(tmp_path / "either", "either", "rail,2,ash,3/4,2,30,A1;A2,\n", '[boards]\nleave = ["A1"]\n')
    taken, elsewhere = take_boards(rack, either, "t", 5)
    assert (taken.parts[0].sources, taken.leave, elsewhere) == (("A2",), frozenset(), {"A1": "bench"})


def test_boards_of_other_species_stay_free_while_a_job_is_planned(rack: Rack, job: Path) -> None:
    rack.log_all([entry("A1"), entry("C1", species="cherry")])
    taken, _ = take_boards(rack, job, "t", 60)
    assert [b.name for b in taken.boards] == ["A1"]
    assert [b.name for b in rack.available_boards("bench")] == ["C1"]


def test_boards_left_alone_are_not_held(rack: Rack, tmp_path: Path) -> None:
    rack.log_all([entry("A1"), entry("A2")])
    careful = folder(tmp_path / "careful", "careful", "rail,2,ash,3/4,2,30,,\n", '[boards]\nleave = ["A1"]\n')
    taken, _ = take_boards(rack, careful, "t", 60)
    assert taken.leave == {"A1"}
    assert [b.name for b in rack.available_boards("bench")] == ["A1"]


def test_a_hold_lasts_as_long_as_the_search(where: str, job: Path) -> None:
    now = [1_700_000_000.0]
    with Rack.open(where, create=True, clock=lambda: now[0]) as rack:
        rack.log(entry("A1"))
        take_boards(rack, job, "t", 24 * 3600)
        now[0] += 24 * 3600
        assert rack.available_boards("bench") == ()
        rack.settle("sideboard", ["A1"], "t")


def test_a_planner_killed_in_its_search_does_not_hold_for_ever(file: Path, job: Path) -> None:
    with Rack.open(file, create=True) as rack:
        rack.log(entry("A1"))
    command = [sys.executable, "-m", "yieldopt", "plan", str(job), "--rack", str(file), "--out", str(job.parent / "out")]
    with Rack.open(file) as rack:
        with subprocess.Popen([*command, "--seconds", "100", "--until-gap", "0", "--quiet"]) as process:
            patience = time.monotonic() + 100
            while not rack.holds() and process.poll() is None and time.monotonic() < patience:
                time.sleep(0.01)
            process.kill()
        # Unless the search was over already, the board is held by nobody's search; either way another job can't have it yet.
        assert rack.available_boards("bench") == ()
        assert rack.check() == []
    if process.returncode != 0:
        with Rack.open(file, clock=lambda: time.time() + 100 + PLANNER_SECONDS) as later:
            assert [b.name for b in later.available_boards("bench")] == ["A1"]


def test_a_search_that_fails_gives_the_boards_back(rack: Rack, where: str, job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise InputError([])

    monkeypatch.setattr("yieldopt.planned.running.plan_checked", fail)
    rack.log(entry("A1"))
    assert main(["plan", str(job), "--rack", where, "--out", str(job.parent / "out"), *SEARCH]) == 2
    assert rack.holds() == {}


def test_planners_at_once_share_no_board(where: str, tmp_path: Path) -> None:
    """Ten jobs take from one rack at the same moment: each board goes to one, and all that could be had is had."""
    with Rack.open(where, create=True) as rack:
        rack.log_all([entry(f"A{n}") for n in range(6)])
    jobs = [folder(tmp_path / f"job {n}", f"job {n}", "rail,2,ash,3/4,2,30,,\n") for n in range(10)]
    start = threading.Barrier(len(jobs))
    got: dict[int, list[str]] = {}

    def plan(n: int) -> None:
        with Rack.open(where) as mine:
            start.wait()
            got[n] = [b.name for b in take_boards(mine, jobs[n], f"t{n}", 60)[0].boards]

    threads = [threading.Thread(target=plan, args=(n,)) for n in range(len(jobs))]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert sorted(name for names in got.values() for name in names) == [f"A{n}" for n in range(6)]
