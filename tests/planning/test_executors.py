"""One plan whoever does the work: threads, one thread, processes, and the workers of a cluster."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from multiprocessing import active_children, get_context
from pathlib import Path

import pytest
from bench.families import plain
from small_jobs import board, job, part

from yieldopt.checking import check
from yieldopt.cli import main
from yieldopt.planning import plan_job
from yieldopt.planning.pricing.crew import workers_of
from yieldopt.planning.result import Progress
from yieldopt.reading.writing import job_files
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan
from yieldopt.workers import executors
from yieldopt.workers.copies import Copies, possible
from yieldopt.workers.executors import Workers, cores, executor_of
from yieldopt.workers.serial import Serial

# Enough for column generation, the bound, a dive, neighbourhoods and branching.
STEPS = 14

needs_copies = pytest.mark.skipif(not possible(), reason="processes can't be copied here")


@contextmanager
def dask_workers() -> Iterator[Executor]:
    """A cluster of two worker processes on this machine."""
    distributed = pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1") as cluster,
        executor_of(Workers(cluster=cluster.scheduler_address)) as executor,
    ):
        yield executor


EXECUTORS = {
    "one thread": Serial,
    "three threads": lambda: ThreadPoolExecutor(3),
    "copies": lambda: Copies(2),
    "two processes": lambda: ProcessPoolExecutor(2, get_context("spawn")),
    "dask": dask_workers,
}


def figures(plan: Plan) -> tuple[object, ...]:
    return plan.boards, plan.unplaced, plan.totals.net_cost, plan.totals.bound


@pytest.fixture(scope="module")
def jobs() -> dict[str, tuple[Job, Plan]]:
    """Jobs with the plan that the executor of plan_job itself makes."""
    two_species = job([part(qty=3), part("leg", species="ash")], [board(), board("A", species="ash")])
    made = {"plain": plain(5, 4, 4, 10), "two species": two_species}
    return {name: (j, plan_job(j, seconds=600, seed=3, steps=STEPS).plan) for name, j in made.items()}


@pytest.mark.parametrize("name", EXECUTORS)
def test_same_seed_and_steps_give_the_same_plan(name: str, jobs: dict[str, tuple[Job, Plan]]) -> None:
    with EXECUTORS[name]() as executor:
        for j, plan in jobs.values():
            assert not check(j, plan)
            again = plan_job(j, seconds=600, seed=3, steps=STEPS, executor=executor)
            assert figures(again.plan) == figures(plan)
            assert again.ended in ("steps", "optimal")


def test_steps_are_counted() -> None:
    j = plain(5, 4, 4, 10)
    few, more = (plan_job(j, seconds=600, steps=n) for n in (1, 6))
    assert few.ended == more.ended == "steps"
    assert len(few.history) == 1
    missing = [sum(u.qty for u in r.plan.unplaced) for r in (few, more)]
    assert missing[1] < missing[0]


def test_workers() -> None:
    assert cores() >= 1
    with executor_of(Workers(3, processes=False)) as threads, executor_of(Workers(3, processes=True)) as processes:
        # The first process works too.
        assert (workers_of(threads), workers_of(processes)) == (3, 2)
        assert isinstance(processes, ProcessPoolExecutor)
    with executor_of(Workers(2)) as usual:
        assert isinstance(usual, Copies if possible() else ThreadPoolExecutor)


def test_where_processes_cannot_be_copied_they_are_threads_unless_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(executors, "possible", lambda: False)
    with executor_of(Workers(2)) as usual, executor_of(Workers(3, processes=True)) as asked:
        assert isinstance(usual, ThreadPoolExecutor)
        assert isinstance(asked, ProcessPoolExecutor)
        assert not isinstance(asked, Copies)


@needs_copies
def test_a_plan_outlives_the_processes_that_share_its_work(jobs: dict[str, tuple[Job, Plan]]) -> None:
    j, plan = jobs["plain"]
    before = {p.pid for p in active_children()}
    with Copies(2) as pool:
        killed = []

        def watch(_: Progress) -> None:
            if not killed:
                killed.extend(p.pid for p in active_children() if p.pid not in before)
                for pid in killed:
                    os.kill(pid, signal.SIGKILL)

        again = plan_job(j, seconds=600, seed=3, steps=STEPS, executor=pool, observer=watch)
        assert len(killed) == 2
        assert figures(again.plan) == figures(plan)


@needs_copies
def test_copies_end_with_the_process_they_work_for() -> None:
    """Killed outright, it can't end them itself."""
    script = (
        "from yieldopt.workers.copies import Copies\n"
        "import multiprocessing, os, signal\n"
        "if __name__ == '__main__':\n"
        "    pool = Copies(2)\n"
        "    pool.begin()\n"
        "    print(*(p.pid for p in multiprocessing.active_children()), flush=True)\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    pids = [int(w) for w in done.stdout.split()]
    assert len(pids) == 2
    for _ in range(100):
        if not any(Path(f"/proc/{pid}").exists() and "Z" not in Path(f"/proc/{pid}/stat").read_text().split()[2] for pid in pids):
            break
        time.sleep(0.1)
    else:
        pytest.fail("still there after ten seconds")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    where = tmp_path / "job"
    where.mkdir()
    for name, text in job_files(job([part(qty=2)], [board()])).items():
        (where / name).write_text(text, encoding="utf-8") if isinstance(text, str) else (where / name).write_bytes(text)
    return where


def test_the_command_takes_workers_and_steps(folder: Path, tmp_path: Path) -> None:
    plans = []
    for n, options in enumerate((["--workers", "1"], ["--workers", "2"], ["--workers", "2", "--threads"])):
        out = tmp_path / str(n)
        assert main(["plan", str(folder), "--out", str(out), "--steps", "4", "--quiet", *options]) == 0
        plans.append((out / "plan.json").read_text().partition('"unplaced"')[0])
    assert plans[0] == plans[1] == plans[2]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--workers", "0"], "--workers: found 0, expected 1 or more"),
        (["--steps", "0"], "--steps: found 0, expected 1 or more"),
        (["--seconds", "0"], "--seconds: found 0, expected a time above 0"),
    ],
)
def test_the_command_says_what_it_expected(
    folder: Path, capsys: pytest.CaptureFixture[str], options: list[str], said: str
) -> None:
    assert main(["plan", str(folder), "--out", str(folder / "out"), *options]) == 2
    assert said in capsys.readouterr().err


def test_without_the_extra_a_cluster_is_refused(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    assert main(["plan", str(folder), "--out", str(folder / "out"), "--cluster", "tcp://127.0.0.1:9"]) == 2
    assert "pip install 'yieldopt[cluster]'" in capsys.readouterr().err
    assert not (folder / "out").exists()
