"""Surprises one by one, at the command line, on a small job of invented data that can be followed by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from two_doors import BOARDS, JOB

from yieldopt.checking import check
from yieldopt.cli import main
from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job
from yieldopt.reading import read_job
from yieldopt.records.planfile import loads
from yieldopt.wood.lumber import Allowances, Job, Part, Shop
from yieldopt.wood.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    found = plan_job(JOB, seconds=3, seed=1, until_gap=0.02).plan
    assert found.complete
    return found


def again(folder: Path, plan: Plan, *options: str, **files: str) -> tuple[int, Job, Plan]:
    write_all_atomically(folder / "before", plan_files(JOB, plan))
    arguments = list(options)
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
        arguments += [f"--{name}", str(folder / name)]
    status = main(["replan", str(folder / "before/plan.json"), "--out", str(folder / "after"), "--seconds", "6", *arguments])
    if status == 2:
        return status, JOB, plan
    job, new = read_job(folder / "after/job"), loads((folder / "after/plan.json").read_text(encoding="utf-8"))
    assert [str(f) for f in check(job, new)] == []
    return status, job, new


def test_nothing_told_changes_nothing(tmp_path: Path, plan: Plan, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, new = again(tmp_path, plan)
    assert (status, new.revision) == (0, plan.revision)
    assert (tmp_path / "after/plan.json").read_bytes() == (tmp_path / "before/plan.json").read_bytes()
    assert "nothing changes" in capsys.readouterr().out


def test_a_tick_makes_the_cuts_that_free_the_piece(tmp_path: Path, plan: Plan) -> None:
    status, _, new = again(tmp_path, plan, done="rail#1\n")
    assert (status, new.revision) == (0, plan.revision + 1)
    entry = next(b for b in new.boards if any(p.piece == "rail#1" for p in b.pieces))
    rail = next(p for p in entry.pieces if p.piece == "rail#1")
    assert rail.state == "done"
    beside = [c for c in entry.cuts if c.stage == "rough" and c.kind == "crosscut" and c.at == rail.x + rail.length]
    assert [c.state for c in beside] == ["done"]


def test_a_spoiled_rail_is_made_anew_elsewhere(tmp_path: Path, plan: Plan) -> None:
    status, _, new = again(tmp_path, plan, spoiled="rail#2\n", done="rail#1\n")
    assert status == 0
    (lost,) = [s for b in new.boards for s in b.spoiled]
    assert lost.piece == "rail#2"
    (was,) = [p for _, p in plan.pieces() if p.piece == "rail#2"]
    assert (lost.x, lost.y) == (was.x, was.y)
    assert sorted(p.piece for _, p in new.pieces()) == sorted(p.piece for _, p in plan.pieces())


def test_half_a_pair_is_no_pair(tmp_path: Path, plan: Plan, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, new = again(tmp_path, plan, spoiled="door#1\n", done="door#2\n")
    assert status == 0
    assert "SET ASIDE: door#2" in capsys.readouterr().out
    pair = [p for _, p in new.pieces() if p.part == "door"]
    assert [p.state for p in pair] == ["planned", "planned"]
    assert sorted(p.layer for p in pair) == [1, 2]
    assert {s.piece for b in new.boards for s in b.spoiled} == {"door#1", "door#2"}


def test_a_finished_piece_that_a_defect_hits_is_named(tmp_path: Path, plan: Plan, capsys: pytest.CaptureFixture[str]) -> None:
    board, rail = next((b.board, p) for b, p in plan.pieces() if p.piece == "rail#1")
    row = f"board,kind,face,x,y,length,width\n{board},check,both,{float(rail.x + 5)},{float(rail.y + 1)},2,1/4\n"
    status, job, new = again(tmp_path, plan, done="rail#1\n", found=row)
    assert status == 0
    assert "FINISHED, BUT: rail#1" in capsys.readouterr().out
    assert len(job.board_named[board].defects) == 1
    there = next(p for _, p in new.pieces() if p.piece == "rail#1")
    assert (there.x, there.y, there.state) == (rail.x, rail.y, "done")


def test_a_found_defect_moves_what_it_hits(tmp_path: Path, plan: Plan) -> None:
    board, rail = next((b.board, p) for b, p in plan.pieces() if p.piece == "rail#1")
    row = f"board,kind,face,x,y,length,width\n{board},check,both,{float(rail.x + 5)},{float(rail.y + 1)},2,1/4\n"
    status, _, new = again(tmp_path, plan, "--cut-through", f"{board}:1", found=row)
    assert status == 0
    entry = next(b for b in new.boards if b.board == board)
    assert [c.order for c in entry.cuts if c.state == "done"] == [1]


def test_no_wood_left_is_said(tmp_path: Path) -> None:
    job = replace(JOB, boards=BOARDS[1:])
    whole = "board,kind,face,x,y,length,width\nA2,split,both,0,0,60,6\n"
    found = plan_job(job, seconds=3, seed=1, until_gap=0.02).plan
    write_all_atomically(tmp_path / "before", plan_files(job, found))
    (tmp_path / "found").write_text(whole, encoding="utf-8")
    arguments = [
        "replan",
        str(tmp_path / "before/plan.json"),
        "--found",
        str(tmp_path / "found"),
        "--out",
        str(tmp_path / "after"),
    ]
    assert main([*arguments, "--seconds", "4"]) == 3
    new = loads((tmp_path / "after/plan.json").read_text(encoding="utf-8"))
    assert {u.part: u.qty for u in new.unplaced} == {"rail": 3}
    assert [b.board for b in new.boards] == ["W1"]


def test_what_is_left_of_a_run_is_cut_for_the_middle_of_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    front = Part("front", 2, "ash", F(3, 4), F(3), F(14), match="fronts", match_kind="run")
    job = Job("one drawer less", "in", (front,), BOARDS[:2])
    write_all_atomically(tmp_path / "before", plan_files(job, plan_job(job, seconds=2, seed=1).plan))
    told = ["front#1: done", "front#2: spoiled", "part front: qty 1"]
    lines = [word for line in told for word in ("--happened", line)]
    out = tmp_path / "after"
    assert main(["replan", str(tmp_path / "before/plan.json"), "--out", str(out), "--seconds", "6", *lines]) == 0
    job, new = read_job(out / "job"), loads((out / "plan.json").read_text(encoding="utf-8"))
    assert [str(f) for f in check(job, new)] == []
    # A run of one has two outer ends; what was cut beside its neighbour lacks the length for one.
    (front_now,) = [p for _, p in new.pieces()]
    assert front_now.length >= front.length + 2 * job.shop.allowances.end
    assert "SET ASIDE: front#1 is finished, but it has another place in its run now" in capsys.readouterr().out


def test_a_run_stays_where_outer_ends_need_less_than_inner_ones(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    front = Part("front", 3, "ash", F(3, 4), F(3), F(14), match="fronts", match_kind="run")
    shop = Shop(Allowances(end=F(1, 32), run_end=F(1, 16)))
    job = Job("close cut ends", "in", (front,), BOARDS[:2], shop)
    write_all_atomically(tmp_path / "before", plan_files(job, plan_job(job, seconds=2, seed=1).plan))
    assert main(["replan", str(tmp_path / "before/plan.json"), "--out", str(tmp_path / "after")]) == 0
    assert "nothing changes" in capsys.readouterr().out


def test_every_mistake_is_listed_and_nothing_written(tmp_path: Path, plan: Plan, capsys: pytest.CaptureFixture[str]) -> None:
    found = "board,kind,face,x,y,length,width\nZ9,check,both,1,1,1,1\n"
    options = ["--cut-through", "A9:1", "--cut-through", "W1:999"]
    status, _, _ = again(tmp_path, plan, *options, done="rail#1\nrale#1\n", spoiled="door#7\n", found=found)
    assert status == 2
    told = capsys.readouterr().err
    for mistake in ("done, row 2", "'rale#1'", "spoiled, row 1", "'door#7'", "found, row 2", "'Z9'", "'A9:1'", "'W1:999'"):
        assert mistake in told
    assert not (tmp_path / "after").exists()
