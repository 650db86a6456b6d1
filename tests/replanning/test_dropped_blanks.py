"""A blank of which the only piece is spoiled, and in whose wood a loose knot comes to light, stands in no plan any more."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from yieldopt.checking import check
from yieldopt.demo import inventory
from yieldopt.planning import plan_job
from yieldopt.reading import read_job
from yieldopt.replanning.again import replan
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Defect, Job
from yieldopt.wood.plan import Plan
from yieldopt.workers.serial import Serial


@cache
def planned() -> tuple[Job, Plan]:
    job = read_job(inventory() / "tool-rack")
    return job, plan_job(job, seconds=600, steps=4, executor=Serial()).plan


def test_it_is_dropped_where_nothing_else_on_its_board_changes() -> None:
    job, plan = planned()
    board, blank = next(
        (b, k) for b in plan.boards for k in b.blanks if len(k.pieces) == 1 and k.layers == 1 and len(b.blanks) > 1
    )
    (name,) = blank.pieces
    knot = Defect("loose knot", "both", blank.x + 2, blank.y + blank.width / 4, blank.length / 50, blank.width / 8)
    new = replace(job, boards=tuple(replace(b, defects=(*b.defects, knot)) if b.name == board.board else b for b in job.boards))
    found = replan(new, plan, Surprise(spoiled=frozenset({name}), found={board.board: (knot,)}), steps=1)
    assert not check(found.job, found.plan, plan)
    assert found.refused == ()
