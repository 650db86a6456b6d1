"""How a planning run ends: the same twice, in time, and with the best so far when it is stopped."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from fractions import Fraction as F
from itertools import count
from pathlib import Path

import pytest
from bench.families import mixed, plain
from test_features import board, job, part

from yieldopt.checking import check
from yieldopt.deadline import Deadline
from yieldopt.lumber import Defect, Job
from yieldopt.planning import plan_job
from yieldopt.reading.writing import job_files


def after(looks: int) -> Deadline:
    """A deadline that passes after so many looks at the clock, however long they take."""
    ticks = count()
    return Deadline(1e6, lambda: 0.0 if next(ticks) < looks else 1e7)


@pytest.mark.parametrize("seed", [0, 3])
def test_same_seed_and_steps_give_the_same_plan(seed: int) -> None:
    j = plain(5, 4, 4, 10)
    one, two = (plan_job(j, seed=seed, deadline=after(250)).plan for _ in range(2))
    assert one.boards == two.boards
    assert one.unplaced == two.unplaced
    assert (one.totals.net_cost, one.totals.bound) == (two.totals.net_cost, two.totals.bound)


def test_until_gap_ends_early() -> None:
    ended = plan_job(plain(5, 4, 4, 10), seconds=60, until_gap=0.9)
    assert ended.ended == "gap"
    assert ended.plan.totals.gap is not None
    assert ended.plan.totals.gap <= 0.9


def test_a_deadline_that_is_over_still_gives_a_plan_that_passes() -> None:
    j = plain(5, 4, 4, 10)
    stopped = Deadline(60)
    stopped.stop()
    assert not check(j, plan_job(j, deadline=stopped).plan)


def test_history_only_improves() -> None:
    history = plan_job(plain(2, 4, 4, 10), seconds=1.5).history
    costs = [p.cost for p in history if p.cost is not None]
    bounds = [p.bound for p in history if p.bound is not None]
    assert costs == sorted(costs, reverse=True)
    assert bounds == sorted(bounds)


def test_interrupt_writes_the_best_so_far(tmp_path: Path) -> None:
    """Ctrl-C once there is a complete plan: it is written, and the command ends as if the time were up."""
    folder = tmp_path / "job"
    folder.mkdir()
    j = plain(5, 6, 5, 14)
    for name, text in job_files(j).items():
        target = folder / name
        target.write_text(text, encoding="utf-8") if isinstance(text, str) else target.write_bytes(text)
    words = [sys.executable, "-m", "yieldopt", "plan", str(folder), "--out", str(tmp_path / "out"), "--seconds", "300"]
    running = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert running.stderr is not None
    for line in running.stderr:
        if " s left" in line and "cost         -" not in line:
            break
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=120)
    assert running.returncode == 0, err
    assert "Traceback" not in err
    written = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))
    assert written["boards"]
    assert written["totals"]["seconds"] < 300
    assert "written" in out


def speckled(n: int) -> Job:
    """A board with n small defects in two rows, and parts that fit between."""
    marks = tuple(Defect("worm", "both", F(4 + k % (n // 2), 8), F(1 if k % 2 else 5), F(1, 8), F(1, 8)) for k in range(n))
    return job([part(qty=4)], [board(length=100, width=8, defects=marks), board("clear", 50, cost=90)])


HOSTILE = {
    "1000 defects": lambda: speckled(1000),
    "100 boards alike": lambda: job([part(qty=30), part("stile", 20, 3, 31)], [board(f"B{n}", cost=20) for n in range(100)]),
    "quantity 500": lambda: job([part("slat", 500)], [board(f"B{n}", 120, 9, cost=40) for n in range(40)]),
    "parts a hair apart": lambda: job(
        [part(f"P{k}", 2, F(2) + F(k, 64), F(20) + F(k, 64)) for k in range(8)], [board(f"B{n}", 72, 8) for n in range(3)]
    ),
    "a board of 40 ft": lambda: job([part(qty=30), part("stile", 20, 3, 31)], [board(length=480, width=12, cost=200)]),
    "a board shorter than its trim": lambda: job([part()], [board("stub", 3), board()]),
    "no boards": lambda: job([part()], []),
    "boards for nothing": lambda: job([part(qty=3)], [board(cost=0)]),
}


SLOW = ("1000 defects", "100 boards alike", "quantity 500", "a board of 40 ft")


@pytest.mark.parametrize("name", [pytest.param(n, marks=pytest.mark.long) if n in SLOW else n for n in HOSTILE])
def test_hostile_job(name: str) -> None:
    j = HOSTILE[name]()
    deadline = Deadline(10 if name in SLOW else 1)
    plan = plan_job(j, deadline=deadline).plan
    assert not check(j, plan)
    assert plan.complete or name in ("no boards", "quantity 500"), plan.unplaced


def test_everything_at_once() -> None:
    """The benchmark family with every constraint: checked, whatever was found in the time."""
    j = mixed(1)
    assert not check(j, plan_job(j, seconds=3).plan)
