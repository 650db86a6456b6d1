"""`yieldopt demo`: all of it on the demo shop's sideboard."""

from __future__ import annotations

import argparse
from pathlib import Path

HELP = "plan, check and draw the demo shop's sideboard; works in any folder"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--out", type=Path, default=Path("yieldopt-demo"), metavar="DIR", help="where to write (default: yieldopt-demo)"
    )
    parser.add_argument("--seconds", type=float, default=90.0, metavar="S", help="how long to search (default: 90)")
    parser.add_argument("--paper", choices=("letter", "a4"), default="letter", help="paper of the packet (default: letter)")


def run(args: argparse.Namespace) -> int:
    """Write the plan, the job and the drawings to `--out`, and say what to open first; exit status as `plan` has it."""
    from yieldopt.commands.options import checked_seconds
    from yieldopt.commands.progress import Printer
    from yieldopt.demo import MAIN_JOB, inventory, summary
    from yieldopt.drawing.packet.packet import packet_files
    from yieldopt.drawing.packet.today import printed_date
    from yieldopt.drawing.page.paper import PAPERS
    from yieldopt.ground.files import write_all_atomically
    from yieldopt.planned.checked import plan_files
    from yieldopt.planned.running import Searching, planned
    from yieldopt.reading import read_job

    checked_seconds(args.seconds)
    job = read_job(inventory() / MAIN_JOB)
    parts = sum(p.qty for p in job.parts)
    print(f"Planning {job.name}: {parts} parts, {len(job.boards)} boards in the rack, {args.seconds:g} s ...", flush=True)
    job, result = planned(inventory() / MAIN_JOB, Searching(args.seconds, 0, 0.0, Printer()))
    plan = result.plan
    files = plan_files(job, plan) | packet_files(job, plan, PAPERS[args.paper], printed_date())
    write_all_atomically(args.out, files)
    print("\n".join(summary(job, plan, args.out)))
    return 0 if plan.complete else 3
