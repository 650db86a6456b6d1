"""No plan of one job, found by any method, seed or number of steps, is cheaper than any bound printed for it.

Each job exercises one part of the proof. The methods are the search with one idea taken out at a time, as in the bench.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from itertools import product
from unittest import mock

import pytest
from bench.ablation import SWITCHES, without
from bench.families import plain
from exhaustive import optimum
from small_jobs import board, job, part
from tiny_jobs import tiny_job

from yieldopt.checking import check
from yieldopt.planning import plan_job
from yieldopt.planning.result import Result
from yieldopt.planning.search.branch import Branching
from yieldopt.wood.lumber import Defect, Job

FRAME = {"match": "frame", "match_kind": "board"}
BOOK = {"match": "doors", "match_kind": "book", "thickness": F(5, 8)}


def species(seed: int, name: str) -> Job:
    """A tiny job in another wood, in the shop of the first."""
    j = replace(tiny_job(seed), shop=tiny_job(0).shop)
    parts = tuple(replace(p, name=f"{name} {p.name}", species=name) for p in j.parts)
    return replace(j, parts=parts, boards=tuple(replace(b, name=f"{name} {b.name}", species=name) for b in j.boards))


def together(*jobs: Job) -> Job:
    return replace(jobs[0], parts=tuple(p for j in jobs for p in j.parts), boards=tuple(b for j in jobs for b in j.boards))


def rack(n: int) -> list[object]:
    knot = Defect("knot", "both", F(30), F(1), F(2), F(1))
    return [board(f"B{k}", 50 + 7 * k, 6 + k % 3, cost=18 + 5 * k, defects=(knot,) if k % 2 else ()) for k in range(n)]


JOBS = {
    "demand caps": job([part(qty=2, length=31), part("stile", 3, 3, 22)], rack(4)),  # type: ignore[arg-type]
    "staves": job([part("shelf", 2, 11, 24, staves=(F(2), F(5))), part(qty=3)], rack(4)),  # type: ignore[arg-type]
    "a group on one board": job([part(qty=3, **FRAME), part("stile", 2, 3, 26, **FRAME), part("slat", 4, 1, 18)], rack(4)),  # type: ignore[arg-type]
    "two groups": job(
        [part(qty=2, **FRAME), part("stile", 2, 3, 26, match="door", match_kind="board"), part("slat", 2, 2, 18)],
        rack(3),  # type: ignore[arg-type]
    ),
    "ganged": job([part("pull", 7, F(5, 4), 5), part("knob", 3, F(3, 2), 4)], rack(3)),  # type: ignore[arg-type]
    "layers": job(
        [part("left", 2, 4, **BOOK), part("right", 2, 4, **BOOK), part("thin", 5, 3, 18, thickness=F(3, 8))],
        [board("T", 70, 8, 8, 60, stress="tested"), board("U", 60, 7, 8, 45), board("V", 60, 7)],
    ),
    "components": together(species(0, "oak"), species(19, "ash")),
    "branching": plain(3, 5, 4, 11),
}


def runs(j: Job) -> list[Result]:
    """Plans of one job by every method, with several seeds and numbers of steps."""
    found = [plan_job(j, seconds=60, seed=seed, steps=steps) for seed, steps in product((0, 7), (3, 9))]
    for name in SWITCHES:
        with without(name):
            found.append(plan_job(j, seconds=60, seed=1, steps=6))
    return found


@pytest.mark.parametrize("name", JOBS)
def test_no_plan_is_cheaper_than_any_bound(name: str) -> None:
    j = JOBS[name]
    found = runs(j)
    for r in found:
        assert not check(j, r.plan)
    costs = [r.plan.totals.net_cost for r in found if r.plan.complete]
    bounds = [p.bound for r in found for p in r.history if p.bound is not None]
    assert costs
    assert bounds
    assert max(bounds) <= min(costs) + 1e-6


@pytest.mark.parametrize("seeds", [(0, 18), (19, 26), (34, 38)])
def test_components_add_up_to_the_optimum_of_each(seeds: tuple[int, int]) -> None:
    """Jobs that share neither board nor part, each enumerated by itself."""
    each = [species(seed, name) for seed, name in zip(seeds, ("oak", "ash"), strict=True)]
    (lost, cost), (lost2, cost2) = (optimum(j) for j in each)
    plan = plan_job(together(*each), seconds=60, steps=40).plan
    assert not check(together(*each), plan)
    assert not lost
    assert not lost2
    assert plan.complete
    assert plan.totals.net_cost >= float(cost + cost2) - 1e-4
    assert plan.totals.bound is not None
    assert plan.totals.bound <= float(cost + cost2) + 1e-6


def test_branching_raises_the_bound_and_never_over_the_optimum() -> None:
    """Tiny jobs on which nodes are worked on: the bound only rises, and stays under the enumeration."""
    nodes = 0
    step = Branching.step

    def counted(self: Branching, *args: float) -> object:
        nonlocal nodes
        nodes += 1
        return step(self, *args)

    with mock.patch.object(Branching, "step", counted):
        for seed in range(20):
            j = tiny_job(seed)
            lost, cost = optimum(j)
            if not lost:
                bounds = [p.bound for p in plan_job(j, seconds=60, steps=25).history if p.bound is not None]
                assert bounds == sorted(bounds)
                assert all(b <= float(cost) + 1e-6 for b in bounds)
    assert nodes
