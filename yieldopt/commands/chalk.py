"""`yieldopt chalk PLAN --out DIR`: the sheets to mark and mill by."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from yieldopt.counted import counted

HELP = "draw a plan: a chalk sheet for each board, and the packet to print"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan.json")
    parser.add_argument("--job", type=Path, metavar="DIR", help="the job folder (default: the folder job beside the plan)")
    parser.add_argument(
        "--out", type=Path, metavar="DIR", required=True, help="where to write sheets/, packet.pdf and packet.html"
    )
    parser.add_argument(
        "--source",
        type=Path,
        metavar="FILE",
        help="a source.json: what to buy becomes a view in the packet (default: beside the plan)",
    )
    parser.add_argument("--paper", choices=("letter", "a4"), default="letter", help="paper of the packet (default: letter)")


def run(args: argparse.Namespace) -> int:
    """Check the plan, then draw it; exit status 1, with nothing drawn, if the check finds a breach."""
    from yieldopt.checking import check
    from yieldopt.drawing.packet import packet_files
    from yieldopt.drawing.paper import PAPERS
    from yieldopt.drawing.today import printed_date
    from yieldopt.files import write_all_atomically
    from yieldopt.insight.second_choice import summary as second_summary
    from yieldopt.reading import read_job
    from yieldopt.reading.plans import read_plan

    plan, _ = read_plan(args.plan)
    job = read_job(args.job or args.plan.parent / "job")
    findings = check(job, plan)
    if findings:
        for finding in findings:
            print(finding, file=sys.stderr)
        print(
            f"{counted(len(findings), 'breach', 'es')}; nothing was drawn. Do not cut by this plan.",
            file=sys.stderr,
        )
        return 1
    files = packet_files(job, plan, PAPERS[args.paper], printed_date(), _buying(args, job.name))
    write_all_atomically(args.out, files)
    print(f"{counted(len(plan.boards), 'sheet')} and the packet are in {args.out}.")
    stale = sorted(p.name for p in (args.out / "sheets").glob("*.svg") if f"sheets/{p.name}" not in files)
    if stale:
        print(f"sheets/ holds sheets of an earlier plan, of boards that this one does not cut: {', '.join(stale)}")
    print(second_summary(job, plan) + ".")
    if not plan.complete:
        print("INCOMPLETE: " + "; ".join(f"{u.qty} of {u.part} unplaced" for u in plan.unplaced))
    return 0


def _buying(args: argparse.Namespace, job: str) -> dict[str, Any] | None:
    """What `source.json` holds, named or beside the plan; None where there is none. Raises `UsageError` for anything else,
    and for the study of another job."""
    from yieldopt.errors import UsageError
    from yieldopt.sourcing.record import read_record

    beside = args.plan.parent / "source.json"
    path = args.source or (beside if beside.is_file() else None)
    try:
        body = None if path is None else read_record(path.read_text(encoding="utf-8-sig"))
    except (UsageError, UnicodeDecodeError) as error:
        raise UsageError(f"{path}: {error}") from error
    if body is not None and body["job"] != job:
        raise UsageError(f"{path}: what to buy for {body['job']}, not for {job}")
    return body
