"""Reasons and second choices asked for of a plan that exists."""

from __future__ import annotations

from dataclasses import replace

from yieldopt.ground.deadline import Deadline
from yieldopt.insight.second_choice import summary, with_second_choices
from yieldopt.planning.later import reasons_later
from yieldopt.planning.warming import warm
from yieldopt.records.sections import SecondChoices
from yieldopt.records.why import SECOND, WHY, not_reached, why_lines
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan
from yieldopt.workers.executors import Workers, executor_of


def with_reasons(job: Job, plan: Plan, deadline: Deadline) -> Plan:
    """The plan with reasons and second choices found anew, as far as the time goes."""
    warm()
    with executor_of(Workers(None, False)) as executor:
        unplaced, why = reasons_later(job, plan, deadline, executor)
    bare = replace(plan.silent_on(*WHY, SecondChoices), unplaced=unplaced)
    return with_second_choices(job, bare.saying(*why), deadline)


def reason_lines(job: Job, plan: Plan) -> list[str]:
    """What the command prints of them."""
    skipped = not_reached(plan)
    lines = [f"not placed: {u.qty} x {u.part}: {u.why}" for u in plan.unplaced]
    lines += [*why_lines(plan), summary(job, plan) + (", as far as the time went" if SECOND in skipped else "")]
    return lines + ([f"the time did not reach: {'; '.join(skipped)}; give it more with --seconds"] if skipped else [])
