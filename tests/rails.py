"""Rails from boards that give one each: a job small enough to reckon by hand (invented data)."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from yieldopt.fragility.study import Candidate
from yieldopt.luck.rates import Rates
from yieldopt.planning import plan_job
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.wood.plan import Plan

RAIL = Part("rail", 1, "ash", F(3, 4), F(2), F(20))
# Each board gives one rail and nothing else.
ONE = Board("A1", "ash", "4/4", F(1), F(25), F(5, 2), F(1), cost=F(20))
CERTAIN = Rates(hidden=0.0, spoiled=0.0)


def boards(count: int) -> tuple[Board, ...]:
    return tuple(replace(ONE, name=f"A{k}", cost=F(20 + k)) for k in range(1, count + 1))


def planned(job: Job) -> Plan:
    return plan_job(job, seconds=60, seed=1, until_gap=0.01, steps=12).plan


@pytest.fixture(scope="module")
def tight() -> Candidate:
    """One rail, one board: any loss ends it."""
    job = Job("tight", "in", (RAIL,), boards(1))
    return Candidate("as planned", job, planned(job), {"rail": 1})


@pytest.fixture(scope="module")
def roomy() -> Candidate:
    """One rail, and a second board to make it from again."""
    job = Job("roomy", "in", (RAIL,), boards(2))
    return Candidate("as planned", job, planned(job), {"rail": 1})
