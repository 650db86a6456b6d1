"""Whether the check catches a plan that was broken in one way."""

from __future__ import annotations

from corruptions import Corruption

from yieldopt.checking import check
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan


def codes(job: Job, plan: Plan) -> set[int]:
    return {f.code for f in check(job, plan)}


def caught(corruption: Corruption, job: Job, plan: Plan, strict: bool = True) -> bool | None:
    """Is it caught with its code and (where `strict`) no strange ones? None where nothing can be broken so."""
    broken = corruption.operator(job, plan)
    if broken is None:
        return None
    found = codes(*broken)
    assert not strict or found <= {corruption.code} | corruption.also, (corruption.name, [str(f) for f in check(*broken)])
    return corruption.code in found
