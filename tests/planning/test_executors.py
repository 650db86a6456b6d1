"""One plan whoever does the work: threads, one thread, processes, and the workers of a cluster."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from pathlib import Path

import pytest
from bench.families import plain
from test_features import board, job, part

from yieldopt.checking import check
from yieldopt.cli import main
from yieldopt.lumber import Job
from yieldopt.plan import Plan
from yieldopt.planning import plan_job
from yieldopt.planning.crew import workers_of
from yieldopt.planning.executors import Workers, cores, executor_of
from yieldopt.planning.serial import Serial
from yieldopt.reading.writing import job_files

# Enough for column generation, the bound, a dive, neighbourhoods and branching.
STEPS = 14


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
    with executor_of(Workers(3)) as threads, executor_of(Workers(2, processes=True)) as processes:
        assert (workers_of(threads), workers_of(processes)) == (3, 2)
        assert isinstance(processes, ProcessPoolExecutor)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    where = tmp_path / "job"
    where.mkdir()
    for name, text in job_files(job([part(qty=2)], [board()])).items():
        (where / name).write_text(text, encoding="utf-8") if isinstance(text, str) else (where / name).write_bytes(text)
    return where


def test_the_command_takes_workers_and_steps(folder: Path, tmp_path: Path) -> None:
    plans = []
    for n, options in enumerate((["--workers", "1"], ["--workers", "2", "--processes"])):
        out = tmp_path / str(n)
        assert main(["plan", str(folder), "--out", str(out), "--steps", "4", "--quiet", *options]) == 0
        plans.append((out / "plan.json").read_text().partition('"unplaced"')[0])
    assert plans[0] == plans[1]


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
