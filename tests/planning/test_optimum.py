"""Tiny jobs against an enumeration of every layout of the kinds considered."""

from __future__ import annotations

import pytest
from exhaustive import optimum, tiny_job

from yieldopt.checking import check
from yieldopt.deadline import Deadline
from yieldopt.planning import plan_job
from yieldopt.planning.result import Progress

SEEDS = range(14)
KINDS = pytest.mark.parametrize("defects", [False, True], ids=["clear", "one defect"])


@KINDS
@pytest.mark.parametrize("seed", SEEDS)
def test_plan_and_bound_against_every_layout(seed: int, defects: bool) -> None:
    job = tiny_job(seed, defects)
    missing, cost = optimum(job)
    # Long enough for a busy machine; the run ends as soon as the optimum is there.
    deadline = Deadline(2.0 if missing else 20.0)

    def watch(progress: Progress) -> None:
        if progress.cost is not None and progress.cost <= float(cost) + 1e-4:
            deadline.stop()

    plan = plan_job(job, deadline=deadline, observer=watch, seed=seed).plan
    assert not check(job, plan)
    assert sum(u.qty for u in plan.unplaced) == missing
    assert plan.totals.net_cost == pytest.approx(float(cost), abs=1e-4)


@KINDS
@pytest.mark.parametrize("seed", SEEDS)
def test_bound_and_rules_against_every_layout(seed: int, defects: bool) -> None:
    """Whatever the search finds: the bound is never above the optimum, and no plan beats the enumeration."""
    job = tiny_job(seed, defects)
    missing, cost = optimum(job)
    totals = (plan := plan_job(job, seconds=0.6, seed=seed).plan).totals
    lost = sum(u.qty for u in plan.unplaced)
    assert lost >= missing
    if lost == missing:
        assert totals.net_cost >= float(cost) - 1e-4
        if totals.bound is not None:
            assert totals.bound <= float(cost) + 1e-6


@pytest.mark.parametrize("seed", [1, 4])
def test_no_plan_is_cheaper_than_any_bound(seed: int) -> None:
    """Whatever the seed and the time, plans and bounds of one job never cross."""
    from bench.families import plain

    job = plain(seed, 4, 4, 10)
    runs = [plan_job(job, seconds=s, seed=n).plan for n, s in enumerate((0.05, 0.5, 1.0, 2.0))]
    costs = [p.totals.net_cost for p in runs if p.complete]
    bounds = [p.totals.bound for p in runs if p.totals.bound is not None]
    assert costs
    assert bounds
    assert max(bounds) <= min(costs) + 1e-6
