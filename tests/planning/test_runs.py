"""How a planning run ends: the same twice, in time, and with the best so far when it is stopped."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from itertools import count
from pathlib import Path

import pytest
from bench import hostile
from bench.families import mixed, plain
from small_jobs import board, job, part

from yieldopt.checking import check
from yieldopt.ground.deadline import Deadline
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
    history = plan_job(plain(2, 4, 4, 10), seconds=600, steps=8).history
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


# The others take long to search; the long run has them all.
QUICK = ("1000 defects", "24 parts 1/64 apart")
SMALL = {
    "parts a hair apart": lambda: hostile.hair_apart(8, 3),
    "a board shorter than its trim": lambda: job([part()], [board("stub", 3), board()]),
    "no boards": lambda: job([part()], []),
    "boards for nothing": lambda: job([part(qty=3)], [board(cost=0)]),
}


@pytest.mark.parametrize("name", SMALL)
def test_odd_job(name: str) -> None:
    j = SMALL[name]()
    plan = plan_job(j, seconds=1).plan
    assert not check(j, plan)
    assert plan.complete or name == "no boards", plan.unplaced


# What one machine of a shop has to spare, in bytes: half of the 4 GB that the largest jobs may take.
MEMORY = 2 << 30


@pytest.mark.parametrize("name", [pytest.param(n, marks=() if n in QUICK else pytest.mark.long) for n in hostile.HOSTILE])
def test_hostile_job(name: str) -> None:
    """In a process of its own, which may not take more memory than that: a plan that passes the check, reasons included."""
    code = (
        "import resource, sys; from bench.hostile import HOSTILE; from yieldopt.planned.checked import plan_checked; "
        f"result = plan_checked(HOSTILE[{name!r}](), seconds=10, after=2.0); "
        "print(sum(u.qty for u in result.plan.unplaced), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024)"
    )
    here = Path(__file__).parents[1]
    done = subprocess.run([sys.executable, "-c", code], cwd=here, capture_output=True, text=True, timeout=400)
    assert done.returncode == 0, done.stderr
    missing, memory = map(int, done.stdout.split())
    assert memory < MEMORY
    # 500 slats do not fit on 40 boards.
    assert not missing or name in ("quantity 500", "all of it")


def test_everything_at_once() -> None:
    """The benchmark family with every constraint: checked, whatever was found in the time."""
    j = mixed(1)
    assert not check(j, plan_job(j, seconds=3).plan)
