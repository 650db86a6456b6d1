"""`yieldopt check PLAN`: does the plan keep every rule of its job?"""

from __future__ import annotations

import argparse
from pathlib import Path

from yieldopt.counted import counted

HELP = "check a plan against its job, rule by rule"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan.json")
    parser.add_argument("--job", type=Path, metavar="DIR", help="the job folder (default: the folder job beside the plan)")


def run(args: argparse.Namespace) -> int:
    """Print each breach; exit status 0 if there is none (parts may be missing), else 1."""
    from yieldopt.checking import check, untested
    from yieldopt.reading import read_job
    from yieldopt.reading.plans import read_plan
    from yieldopt.replanning.history import before

    plan, _ = read_plan(args.plan)
    job = read_job(args.job or args.plan.parent / "job")
    findings = check(job, plan, before(args.plan, plan))
    for finding in findings:
        print(finding)
    if findings:
        print(f"{counted(len(findings), 'breach', 'es')}; do not cut by this plan.")
    else:
        print(f"The plan keeps every rule: {len(plan.boards)} boards, net cost {plan.totals.net_cost:.2f}.")
    for line in untested(job, plan):
        print(f"note: {line}")
    if plan.unplaced:
        print("INCOMPLETE: " + "; ".join(f"{u.qty} of {u.part} unplaced ({u.why or 'no reason given'})" for u in plan.unplaced))
    return 1 if findings else 0
