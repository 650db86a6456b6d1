"""`yieldopt check PLAN`: does the plan keep every rule of its job?"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from yieldopt.ground.counted import counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from yieldopt.checking.finding import Finding
    from yieldopt.wood.lumber import Job
    from yieldopt.wood.plan import Plan

HELP = "check a plan against its job, rule by rule"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan.json")
    parser.add_argument("--job", type=Path, metavar="DIR", help="the job folder (default: the folder job beside the plan)")


def run(args: argparse.Namespace) -> int:
    """Print each breach; exit status 0 if there is none (parts may be missing), else 1."""
    from yieldopt.checking import check
    from yieldopt.planned.sound import plan_with_job
    from yieldopt.records.history import before

    job, plan = plan_with_job(args.plan, args.job)
    findings = check(job, plan, before(args.plan, plan))
    print("\n".join(_told(job, plan, findings)))
    return 1 if findings else 0


def _told(job: Job, plan: Plan, findings: Sequence[Finding]) -> list[str]:
    from yieldopt.checking import untested

    if findings:
        lines = [*map(str, findings), f"{counted(len(findings), 'breach', 'es')}; do not cut by this plan."]
    else:
        lines = [f"The plan keeps every rule: {len(plan.boards)} boards, net cost {plan.totals.net_cost:.2f}."]
    lines += [f"note: {line}" for line in untested(job, plan)]
    missing = "; ".join(f"{u.qty} of {u.part} unplaced ({u.why or 'no reason given'})" for u in plan.unplaced)
    return [*lines, f"INCOMPLETE: {missing}"] if missing else lines
