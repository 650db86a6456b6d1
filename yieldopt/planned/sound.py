"""A plan read back with its job, and checked before anything is built on it."""

from __future__ import annotations

from pathlib import Path

from yieldopt.checking import check
from yieldopt.ground.errors import UsageError
from yieldopt.reading import read_job
from yieldopt.reading.plans import read_plan
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan


def plan_with_job(path: Path, folder: Path | None) -> tuple[Job, Plan]:
    """The plan and its job, by default in the folder `job` beside it. Raises `UsageError` where the file holds no plan."""
    plan, _ = read_plan(path)
    return read_job(folder or path.parent / "job"), plan


def sound_plan(path: Path, folder: Path | None) -> tuple[Job, Plan]:
    """The same, of a plan that keeps to its job. Raises `UsageError` naming the first breach where it doesn't."""
    job, plan = plan_with_job(path, folder)
    findings = check(job, plan)
    if findings:
        raise UsageError(f"{path}: the plan doesn't keep to its job; see `yieldopt check`: {findings[0]}")
    return job, plan


def own_plan(path: Path, job: Job) -> Plan:
    """The plan of this very job; raises `UsageError` where it is none, or not a sound one."""
    plan, _ = read_plan(path)
    findings = check(job, plan)
    if findings:
        more = f" (and {len(findings) - 1} more)" if findings[1:] else ""
        raise UsageError(f"{path}: not a sound plan of this job: {findings[0]}{more}")
    return plan
