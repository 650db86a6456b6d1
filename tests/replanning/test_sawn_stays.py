"""Cuts made inside a blank that a split found later makes useless: what was sawn stays sawn, in the plan or in its record."""

from __future__ import annotations

from fractions import Fraction as F
from pathlib import Path

import pytest

from yieldopt.checking import check
from yieldopt.cli import main
from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job
from yieldopt.reading import read_job
from yieldopt.records.planfile import loads
from yieldopt.records.sections import Sawn, SawnCut
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.wood.plan import Plan

DEFECT = "board,kind,face,x,y,length,width\n{board},split,,{x},{y},1,1\n"


def planned(job: Job) -> Plan:
    plan = plan_job(job, seconds=3, seed=1, steps=30).plan
    assert plan.complete
    return plan


def again(folder: Path, job: Job, plan: Plan, done: str, found: str, spoiled: str = "") -> tuple[Job, Plan]:
    write_all_atomically(folder / "before", plan_files(job, plan))
    arguments = ["--seconds", "1"]
    for name, text in (("done", done), ("found", found), ("spoiled", spoiled)):
        if text:
            (folder / name).write_text(text, encoding="utf-8")
            arguments += [f"--{name}", str(folder / name)]
    assert main(["replan", str(folder / "before/plan.json"), "--out", str(folder / "after"), *arguments]) in (0, 3)
    after, new = read_job(folder / "after/job"), loads((folder / "after/plan.json").read_text(encoding="utf-8"))
    assert [str(f) for f in check(after, new)] == []
    return after, new


def test_the_finished_front_of_a_broken_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A run of two in one blank, one cut off and finished, then a split in the next: the run is made anew elsewhere. The cut
    that made the finished piece is a crosscut of the board from now on, and the wood on either side of it is spent apart."""
    fronts = tuple(Part(f"front {n}", 1, "oak", F(3, 4), F(4), F(n), match="fronts", match_kind="run") for n in (16, 18))
    boards = tuple(Board(n, "oak", "4/4", F(1), F(48), F(6), F(1), cost=F(20)) for n in ("B1", "B2"))
    job = Job("fronts", "in", fronts, boards)
    plan = planned(job)
    (entry,) = plan.boards
    first, second = sorted(entry.pieces, key=lambda p: p.x)
    (inside,) = [c for c in entry.cuts if c.stage == "final" and c.kind == "crosscut"]
    found = DEFECT.format(board=entry.board, x=float(second.x + 5), y=float(second.y + 1))
    _, new = again(tmp_path, job, plan, f"{first.piece}\n", found)
    old = next(b for b in new.boards if b.board == entry.board)
    (cut,) = [c for c in old.cuts if (c.order, c.kind, c.at) == (inside.order, "crosscut", inside.at)]
    assert (cut.stage, cut.blank, cut.state) == ("rough", None, "done")
    assert [(s.piece, s.x) for s in old.spoiled] == [(first.piece, first.x), (second.piece, second.x)]
    assert f"SET ASIDE: {first.piece}" in capsys.readouterr().out


def _sawn(plan: Plan) -> tuple[SawnCut, ...]:
    said = plan.section(Sawn)
    return said.value if said else ()


def test_a_resawn_blank_that_is_spent(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Both layers of a pair in one blank: resawn, one spoiled, then a split through the other: no blank is left to list the
    resaw cut under, so the record keeps it, and the next plan's record too."""
    doors = Part("door", 2, "oak", F(5, 8), F(5), F(18), match="doors", match_kind="book")
    boards = tuple(Board(n, "oak", "8/4", F(2), F(40), F(6), F(2), stress="tested", cost=F(40)) for n in ("B1", "B2"))
    job = Job("doors", "in", (doors,), boards)
    plan = planned(job)
    (entry,) = plan.boards
    one, other = entry.pieces
    (resaw,) = [c for c in entry.cuts if c.kind == "resaw"]
    found = DEFECT.format(board=entry.board, x=float(other.x + 5), y=float(other.y + 1))
    after, new = again(tmp_path, job, plan, "", found, f"{one.piece}\n")
    (kept,) = _sawn(new)
    assert (kept.board, kept.order, kept.kind, kept.at) == (entry.board, resaw.order, "resaw", resaw.at)
    assert f"SPENT: {resaw.blank} on {entry.board} is spent wood now; cut {resaw.order} made inside it" in capsys.readouterr().out
    # The next surprise, of another board's piece, forgets nothing.
    finished = next(p.piece for _, p in new.pieces())
    (tmp_path / "next").mkdir()
    _, newer = again(tmp_path / "next", after, new, f"{finished}\n", "")
    assert _sawn(newer) == (kept,)
