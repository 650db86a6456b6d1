"""Compiles the planner's functions before any clock of these tests runs."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from pathlib import Path

import pytest

from yieldopt.planning.warming import warm
from yieldopt.workers.runner import Runner


@pytest.fixture(autouse=True, scope="session")
def warmed() -> None:
    """As the command does before its deadline begins."""
    warm()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The slats of 5/8 as a job folder, with one board on the rack."""
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "job.toml").write_text('name = "by hand"\nunits = "in"\n')
    (folder / "parts.csv").write_text("part,qty,species,thickness,width,length\nslat,16,oak,5/8,5 3/4,21 1/2\n")
    (folder / "boards.csv").write_text("board,species,quarters,length,width\nB1,oak,4/4,8',6\n")
    (folder / "prices.csv").write_text(
        "dealer,species,quarters,grade,price_bf,min_length,max_length,min_width,max_width,bundle_bf\n"
        "Hand,oak,4/4,common,4,8',10',6,8,\nHand,oak,8/4,common,5,8',10',6,8,20\n"
    )
    return folder


@pytest.fixture
def in_threads(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """`source` runs its plans in threads of this process: starting processes takes longer than these small jobs."""
    with ThreadPoolExecutor(2) as threads:

        def runner(_: Executor | None = None, plans: int | None = None, ready: object = None) -> Runner:
            return Runner(threads, 2, plans)

        monkeypatch.setattr("yieldopt.sourcing.study.Runner", runner)
        yield
