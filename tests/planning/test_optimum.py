"""Tiny jobs against an enumeration of every layout of the kinds considered.

`python tests/planning/test_optimum.py [FROM TO]` goes through jobs by number and prints those that disagree.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from fractions import Fraction as F

import pytest
from exhaustive import optimum
from seeds import some_of
from tiny_jobs import least_offcut_beside_short_strips, only_one_part_has_a_place, tiny_job, two_rails_under_a_panel

from yieldopt.checking import check
from yieldopt.ground.deadline import Deadline
from yieldopt.planning import plan_job
from yieldopt.planning.result import Progress
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

MANY = 1000
# Jobs of the default run: a few of each kind that are planned and enumerated in a second or so.
QUICK = (2, 3, 5, 6, 7, 8, 11, 12, 13, 15, 16, 18, 19)
# Steps of the search; with parts missing no bound can end it before.
STEPS, STEPS_MISSING = 300, 100


def planned(job: Job, seed: int, missing: int) -> Plan:
    """Planned until the optimum is proven, or the steps are up; no wood is kept for a stress test, of which the enumeration
    knows nothing."""
    job = replace(job, shop=replace(job.shop, allowances=replace(job.shop.allowances, stress_strip=F(0))))
    return plan_job(job, seed=seed, deadline=Deadline(1e9), steps=STEPS_MISSING if missing else STEPS).plan


def disagreement(job: Job, seed: int = 0) -> str | None:
    """What of the plan is not as the enumeration has it: a rule broken, parts missing, its cost, a bound above the optimum or
    more than a thousandth below it."""
    missing, cost = optimum(job)
    plan = planned(job, seed, missing)
    totals, lost = plan.totals, sum(u.qty for u in plan.unplaced)
    if broken := check(job, plan):
        return str(broken[0])
    if (lost, totals.net_cost) != (missing, pytest.approx(float(cost), abs=1e-4)):
        return f"{lost} missing at {totals.net_cost}; enumerated {missing} at {float(cost):.6f}"
    if not missing and (totals.bound is None or not cost * F(999, 1000) <= F(totals.bound) <= cost + F(1, 10**6)):
        return f"bound {totals.bound}; enumerated {float(cost):.6f}"
    return None


SLICE = some_of(range(150), 2, "tiny jobs")


@pytest.mark.parametrize("seed", [*QUICK, *SLICE])
def test_plan_and_bound_against_every_layout(seed: int) -> None:
    assert disagreement(tiny_job(seed), seed) is None


ONCE_MISSED = (least_offcut_beside_short_strips(), two_rails_under_a_panel(), only_one_part_has_a_place())


@pytest.mark.parametrize("job", ONCE_MISSED, ids=lambda j: j.name)
def test_layouts_once_missed(job: Job) -> None:
    assert disagreement(job) is None


@pytest.mark.long
@pytest.mark.parametrize("seed", range(MANY))
def test_many_plans_and_bounds_against_every_layout(seed: int) -> None:
    assert disagreement(tiny_job(seed), seed) is None


@pytest.mark.parametrize("seed", QUICK[:4])
def test_bounds_on_the_way_against_every_layout(seed: int) -> None:
    """However far the search has come: the bound is never above the optimum, and no plan beats the enumeration."""
    job = tiny_job(seed)
    missing, cost = optimum(job)
    seen: list[Progress] = []
    plan_job(job, seed=seed, deadline=Deadline(1e9), steps=8, observer=seen.append)
    assert all(p.bound is None or p.bound <= float(cost) + 1e-6 for p in seen if not missing)
    assert all(p.cost is None or p.cost >= float(cost) - 1e-4 for p in seen if not missing)


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


if __name__ == "__main__":
    first, last = (int(a) for a in sys.argv[1:3]) if len(sys.argv) > 2 else (0, MANY)
    bad = [(n, found) for n in range(first, last) if (found := disagreement(tiny_job(n), n)) is not None]
    for n, found in bad:
        print(f"job {n}: {found}")
    print(f"{last - first - len(bad)} of {last - first} agree")
