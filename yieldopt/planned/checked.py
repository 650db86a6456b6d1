"""From a job to files, with the check in between: no plan leaves the planner's hands unchecked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from yieldopt.ground.errors import CheckFailed
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from yieldopt.ground.deadline import Deadline
    from yieldopt.planning.result import Observer, Result


def plan_checked(
    job: Job,
    *,
    seconds: float,
    seed: int = 0,
    until_gap: float = 0.0,
    observer: Observer | None = None,
    deadline: Deadline | None = None,
    executor: Executor | None = None,
    after: float = 0.0,
    steps: int | None = None,
) -> Result:
    """Plan a job and check the plan; the arguments are those of `plan_job`.

    Raises `CheckFailed` if the check refuses what the planner made.
    """
    from yieldopt.checking import check
    from yieldopt.planning import plan_job

    result = plan_job(
        job,
        seconds=seconds,
        seed=seed,
        until_gap=until_gap,
        observer=observer,
        deadline=deadline,
        executor=executor,
        after=after,
        steps=steps,
    )
    findings = check(job, result.plan)
    if findings:
        raise CheckFailed([str(f) for f in findings])
    return result


def plan_files(job: Job, plan: Plan) -> dict[str, str | bytes]:
    """What a planned job is on disk, by path: `plan.json` with its second choices, and `job/`, the job as planned with the
    boards of its rack."""
    from yieldopt.insight.second_choice import with_second_choices

    return files_of(job, with_second_choices(job, plan))


def files_of(job: Job, plan: Plan) -> dict[str, str | bytes]:
    """`plan_files` of a plan that has its second choices already, as far as the time went."""
    from yieldopt.reading.writing import job_files
    from yieldopt.records.planfile import dumps

    return {"plan.json": dumps(plan), **{f"job/{name}": text for name, text in job_files(job).items()}}
