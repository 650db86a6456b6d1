"""Reasons for a plan that exists, asked for once its planning is over: what the time did not reach then."""

from __future__ import annotations

from concurrent.futures import Executor

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.pricing.context import prepare
from yieldopt.planning.reasons.report import reported
from yieldopt.planning.search.component import ComponentSearch, Stage
from yieldopt.planning.solve import FULL, QUICK
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan, Section, Unplaced


def reasons_later(
    job: Job, plan: Plan, deadline: Deadline, executor: Executor
) -> tuple[tuple[Unplaced, ...], tuple[Section, ...]]:
    """Parts without a place with their reasons, and the sections of `plan.json` that say why (see `records.why`), until the
    deadline. What boards are worth is told by layouts looked for anew, so that figures may differ a little from planning's."""
    context = prepare(job, executor, FULL, QUICK)
    looking = deadline.part(deadline.left * context.tuning.ending.layouts)
    searches = [ComponentSearch(c, 0, looking) for c in context.components()]
    for s in searches:
        while s.stage < Stage.BOUND and not looking.over:
            s.step()
    missing = {u.part: u.qty for u in plan.unplaced}
    return reported(context, [(s.context, s.pool.all()) for s in searches], plan.boards, missing, deadline)
