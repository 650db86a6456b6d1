"""A job with a plan, made once for all that the desk is tried on."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from yieldopt.demo import inventory
from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import files_of
from yieldopt.planning import plan_job
from yieldopt.reading import read_job
from yieldopt.workers.serial import Serial


@pytest.fixture(scope="session")
def planned_rack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo shop's tool rack, planned by eight steps of the search; to be copied, not changed."""
    folder = Path(shutil.copytree(inventory() / "tool-rack", tmp_path_factory.mktemp("planned") / "rack"))
    job = read_job(folder)
    write_all_atomically(folder / "plan", files_of(job, plan_job(job, seconds=600, steps=8, executor=Serial()).plan))
    return folder
