"""Surprises told in one line each, at the command line, on the small job of `test_scenarios` (invented data)."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from two_doors import JOB

from yieldopt.checking import check
from yieldopt.cli import main
from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job
from yieldopt.reading import read_job
from yieldopt.records.planfile import loads
from yieldopt.wood.lumber import Board, Job, Part, Pin
from yieldopt.wood.plan import Plan

Say = Callable[..., tuple[int, Job, Plan]]


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_job(JOB, seconds=3, seed=1, until_gap=0.02).plan


@pytest.fixture
def say(tmp_path: Path) -> Say:
    """Tell lines of a plan of a job; the status, the job and the plan afterwards."""

    def run(job: Job, plan: Plan, *lines: str, out: str = "after") -> tuple[int, Job, Plan]:
        before = tmp_path / f"before-{out}"
        write_all_atomically(before, plan_files(job, plan))
        options = [o for text in lines for o in ("--happened", text)]
        status = main(["replan", str(before / "plan.json"), "--out", str(tmp_path / out), "--seconds", "6", *options])
        if status == 2:
            assert not (tmp_path / out).exists()
            return status, job, plan
        job, new = read_job(tmp_path / out / "job"), loads((tmp_path / out / "plan.json").read_text(encoding="utf-8"))
        assert [str(f) for f in check(job, new)] == []
        return status, job, new

    return run


def where(plan: Plan, name: str) -> tuple[str, F, F]:
    return next((b.board, p.x, p.y) for b, p in plan.pieces() if p.piece == name)


def test_a_spoiled_piece_and_a_finished_one(plan: Plan, say: Say) -> None:
    status, _, new = say(JOB, plan, "rail#1: done", "rail#2: spoiled")
    assert status == 0
    assert [s.piece for b in new.boards for s in b.spoiled] == ["rail#2"]
    assert {p.piece: p.state for _, p in new.pieces()}["rail#1"] == "done"


def test_cut_through_and_all_cut(plan: Plan, say: Say) -> None:
    board = where(plan, "rail#1")[0]
    _, _, new = say(JOB, plan, f"{board}: cut through 1", "W1: all cut")
    states = {b.board: [c.state for c in b.cuts] for b in new.boards}
    assert states[board][0] == "done"
    assert set(states["W1"]) == {"done"}


def test_a_defect_on_a_piece_is_measured_from_the_piece(plan: Plan, say: Say) -> None:
    board, x, y = where(plan, "rail#1")
    _, job, new = say(JOB, plan, "rail#1: check on A at 5, 1, 2 x 1/4")
    (found,) = job.board_named[board].defects
    assert (found.kind, found.face, found.x, found.y, found.length, found.width) == ("check", "A", x + 5, y + 1, F(2), F(1, 4))
    assert where(new, "rail#1") != (board, x, y)


def test_an_unusable_board_is_used_no_more(plan: Plan, say: Say) -> None:
    status, job, new = say(JOB, plan, "W1: unusable")
    assert status == 3
    assert {u.part for u in new.unplaced} == {"door"}
    assert "W1" not in {b.board for b in new.boards}
    assert job.board_named["W1"].defects[0].notes["why"] == "unusable wood"


def test_a_knot_on_the_sawn_face_of_a_pair_spoils_it(plan: Plan, say: Say, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, new = say(JOB, plan, "door#1: knot after layer 1 at 3, 2, 1 x 1")
    assert status in (0, 3)
    assert "to make again: door#1: knot after layer 1" in capsys.readouterr().out
    assert "door#1" in {s.piece for b in new.boards for s in b.spoiled}


def test_a_pair_keeps_its_other_faces(say: Say) -> None:
    """A part that shows one face turns it away from a knot that the resaw cut laid open."""
    slats = Part("slat", 2, "ash", F(1, 2), F(3), F(20), faces=1, match="slats", match_kind="slip")
    job = Job("slats", "in", (slats,), (Board("S1", "ash", "8/4", F(2), F(40), F(6), F(2), stress="tested"),))
    first = plan_job(job, seconds=2, seed=1, until_gap=0.02).plan
    status, _, new = say(job, first, f"{first.boards[0].blanks[0].blank}: knot after layer 1 at 5, 1, 1 x 1")
    assert status == 0
    assert sorted(p.show or "" for _, p in new.pieces()) == ["A", "B"]


def test_a_thin_blank_is_laid_out_elsewhere_for_good(plan: Plan, say: Say) -> None:
    board, _, _ = where(plan, "rail#1")
    blank = next(p.blank for _, p in plan.pieces() if p.piece == "rail#1")
    thin = next(k for b in plan.boards for k in b.blanks if k.blank == blank)
    _, job, new = say(JOB, plan, f"{blank}: thick 13/16")
    for e in new.boards:
        for k in e.blanks:
            if e.board == board:
                assert not (
                    k.x < thin.x + thin.length
                    and thin.x < k.x + k.length
                    and k.y < thin.y + thin.width
                    and thin.y < k.y + k.width
                )
    # The plan remembers it: nothing told, nothing changes.
    _, _, again = say(job, new, out="again")
    assert again == new


def test_a_short_blank_and_a_short_board(plan: Plan, say: Say) -> None:
    board, _, _ = where(plan, "rail#1")
    blank = next(p.blank for _, p in plan.pieces() if p.piece == "rail#1")
    status, _, _ = say(JOB, plan, f"{blank}: long 18")
    assert status == 0
    status, job, _ = say(JOB, plan, f"{board}: long 40", out="short")
    assert [(d.kind, d.x) for d in job.board_named[board].defects] == [("split", F(38))]
    assert status in (0, 3)


def test_what_is_left_of_a_board_is_measured_again(plan: Plan, say: Say) -> None:
    board, _, _ = where(plan, "rail#1")
    _, job, new = say(JOB, plan, f"{board}: left 50 x 5 at 2, 0")
    for entry in new.boards:
        if entry.board == board:
            assert all(k.x >= 2 and k.x + k.length <= 52 and k.y + k.width <= 5 for k in entry.blanks)
    assert len(job.board_named[board].defects) == 3


def test_a_thinner_board_that_is_not_cut_is_a_thinner_board(plan: Plan, say: Say) -> None:
    _, job, new = say(JOB, plan, "W1: thick 1 1/2")
    assert job.board_named["W1"].thickness == F(3, 2)
    assert "W1" not in {b.board for b in new.boards}


def test_parts_are_added_changed_and_dropped(plan: Plan, say: Say) -> None:
    lines = ["rail: qty 2", "door: dropped", "new part cleat: qty 1, species ash, thickness 3/4, width 1 1/2, length 14"]
    status, job, new = say(JOB, plan, *lines)
    assert status == 0
    assert {p.name: p.qty for p in job.parts} == {"rail": 2, "cleat": 1}
    assert sorted(p.piece for _, p in new.pieces()) == ["cleat#1", "rail#1", "rail#2"]


def test_a_longer_part_is_made_anew_and_its_finished_pieces_are_set_aside(
    plan: Plan, say: Say, capsys: pytest.CaptureFixture[str]
) -> None:
    _, job, new = say(JOB, plan, "rail#1: done", "rail: length 21, qty 2")
    assert "SET ASIDE: rail#1" in capsys.readouterr().out
    assert all(p.length >= 22 for _, p in new.pieces() if p.part == "rail")
    assert job.part_named["rail"].length == 21


def test_a_finished_piece_counts_where_fewer_are_wanted(plan: Plan, say: Say, capsys: pytest.CaptureFixture[str]) -> None:
    board, x, y = where(plan, "rail#3")
    _, _, new = say(JOB, plan, "rail#3: done", "rail: qty 1")
    assert "RENAMED: what was rail#3 is rail#1" in capsys.readouterr().out
    assert where(new, "rail#1") == (board, x, y)


def test_good_wood_of_a_spoiled_piece_serves_a_smaller_part(say: Say, capsys: pytest.CaptureFixture[str]) -> None:
    long, short = Part("long", 1, "ash", F(3, 4), F(2), F(40)), Part("short", 2, "ash", F(3, 4), F(3, 2), F(15))
    boards = tuple(Board(f"A{k}", "ash", "4/4", F(1), F(82), F(5, 2), F(1), cost=F(20)) for k in (1, 2))
    job = Job("long and short", "in", (long, short), boards)
    first = plan_job(job, seconds=2, seed=1, until_gap=0.02).plan
    assert [b.board for b in first.boards] in (["A1"], ["A2"])
    status, _, new = say(job, first, "long#1: spoiled, good 34 x 2 1/4 at 0, 0")
    assert status == 0
    assert "lies in good wood" in capsys.readouterr().out
    spent = next(p for _, p in first.pieces() if p.piece == "long#1")
    served = [p for _, p in new.pieces() if p.part == "short" and p.x < spent.x + spent.length and spent.x < p.x + p.length]
    assert served
    assert len({p.blank for p in served}) == 1


def test_every_line_that_is_wrong_is_named(plan: Plan, say: Say, capsys: pytest.CaptureFixture[str]) -> None:
    lines = {
        "rale#1: spoiled": "NAME: WHAT",
        "rail#1: exploded": "cut through N",
        "W1: spoiled": "something that can happen to a board",
        "W1: cut through 999": "the number of a cut of W1",
        "W1: check at 1, 1, 2": "KIND on A, B or both",
        "W1: check at 100, 1, 2 x 1": "a place on W1",
        "W1: check at one, 1, 2 x 1": "'one'",
        "W1: left 90 x 2 at 0, 0": "inside one piece of wood",
        "rail#1: knot after layer 1 at 1, 1, 1 x 1": "resawn after layer 1",
        "rail#1: spoiled, good 90 x 1 at 0, 0": "good wood inside the piece",
        "door#1: knot on both at 1, 1, 1 x 1": "one face of the board at most",
        "rail: spoiled": "rail is a part",
    }
    status, _, _ = say(JOB, plan, *lines)
    assert status == 2
    told = capsys.readouterr().err
    for line, expected in lines.items():
        assert re.search(re.escape(repr(line)[:58]) + ".*" + re.escape(expected), told), (line, told)
    assert say(JOB, plan, "door: qty 3", "rail: colour red", out="parts")[0] == 2
    assert "'colour red'" in capsys.readouterr().err
    assert say(JOB, plan, "door: qty 3", out="odd")[0] == 2
    assert "part door, qty" in capsys.readouterr().err


def test_units_of_the_job_are_those_of_its_lines(say: Say) -> None:
    job = replace(JOB, units="mm")
    first = plan_job(job, seconds=2, seed=1, until_gap=0.02).plan
    _, after, _ = say(job, first, "W1: check on B at 100, 10, 50 x 5")
    assert after.board_named["W1"].defects[0].x == F(1000, 254)


def test_both_plans_stand_side_by_side(plan: Plan, say: Say, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    board = where(plan, "rail#1")[0]
    say(JOB, plan, "rail#1: spoiled")
    told = capsys.readouterr().out
    page = (tmp_path / "after/changes.html").read_text(encoding="utf-8")
    for words in ("revision 1", "revision 2", "net cost", "bound", "least thickness to spare", "pieces at risk"):
        assert words in told
        assert words in page
    assert "chalk lines stay" in told
    assert f"Board {board}: " in page
    assert page.count("<svg") >= 2
    # Nothing is fetched from anywhere.
    assert "src=" not in page
    assert "http" not in page.replace("http://www.w3.org/", "")


def test_a_pinned_piece_whose_place_is_lost_may_be_let_go(say: Say) -> None:
    job = replace(JOB, pins=(Pin("rail#1", "A1", F(2), F(0)),))
    first = plan_job(job, seconds=2, seed=1).plan
    assert where(first, "rail#1") == ("A1", F(2), F(0))
    status, _, new = say(job, first, "rail#1: spoiled")
    assert (status, [u.part for u in new.unplaced]) == (3, ["rail"])
    status, after, new = say(job, first, "rail#1: spoiled", "rail#1: unpinned", out="free")
    assert (status, after.pins) == (0, ())
    assert say(job, first, "rail#2: unpinned", out="no")[0] == 2


def test_a_blank_is_excused_only_as_long_as_its_finished_piece_counts(say: Say) -> None:
    """A run of two: the far one is done, and a split is found in it, then the near one is spoiled. The finished one is set
    aside, and what is left of the blank may not go over the machines."""
    run = (Part("left", 1, "ash", F(3, 4), F(3), F(20), match="fronts", match_kind="run"),)
    run += (replace(run[0], name="right"),)
    boards = tuple(Board(f"A{k}", "ash", "4/4", F(1), F(60), F(4), F(1), cost=F(20)) for k in (1, 2))
    job = Job("fronts", "in", run, boards)
    first = plan_job(job, seconds=1, seed=1).plan
    blank = first.boards[0].blanks[0]
    near, far = sorted((p for _, p in first.pieces()), key=lambda p: p.x)
    _, found, second = say(
        job, first, f"{far.piece}: done", f"{blank.blank}: split at {float(blank.length) - 1}, 0, 1 x 1", out="hit"
    )
    assert {p.piece: p.state for _, p in second.pieces()} == {near.piece: "planned", far.piece: "done"}
    status, _, new = say(found, second, f"{near.piece}: spoiled", out="lost")
    assert status == 0
    assert [p.state for _, p in new.pieces()] == ["planned", "planned"]
