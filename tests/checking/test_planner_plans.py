"""Plans of the planner on generated jobs: the check passes them all, and what is broken in them is caught."""

from __future__ import annotations

import os
from random import Random

import pytest
from catching import caught
from corruptions import CORRUPTIONS
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import jobs

from yieldopt.checking import check
from yieldopt.planning import plan_job
from yieldopt.wood.lumber import Job
from yieldopt.workers.serial import Serial

STEPS = 4
LONG = os.environ.get("YIELDOPT_TESTS") == "long"


def holds(job: Job, seed: int) -> None:
    plan = plan_job(job, seconds=600, steps=STEPS, seed=1, executor=Serial()).plan
    assert [str(f) for f in check(job, plan)] == []
    if plan.boards:
        for corruption in Random(seed).sample(CORRUPTIONS, 5):
            # What else comes with a breach depends on the layout; that it is named does not.
            assert caught(corruption, job, plan, strict=False) in (True, None), corruption.name


@settings(max_examples=10)
@given(jobs(), st.integers(0, 2**32))
def test_the_planner_keeps_the_rules(job: Job, seed: int) -> None:
    holds(job, seed)


@pytest.mark.long
@settings(max_examples=400 if LONG else 100, derandomize=False)
@given(jobs(most_boards=10, most_rows=9), st.integers(0, 2**32))
def test_the_planner_keeps_the_rules_on_larger_jobs(job: Job, seed: int) -> None:
    holds(job, seed)
