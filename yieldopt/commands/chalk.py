"""`yieldopt chalk PLAN --out DIR`: the sheets to mark and mill by."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from yieldopt.ground.counted import counted

if TYPE_CHECKING:
    from collections.abc import Mapping

    from yieldopt.records.study import StudyRecord
    from yieldopt.wood.lumber import Job
    from yieldopt.wood.plan import Plan

WHAT = "buying, pull, wall, sheets, milling, second, figures, charts, labels"
HELP = "draw a plan: a chalk sheet for each board, and the packet to print"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan.json")
    parser.add_argument("--job", type=Path, metavar="DIR", help="the job folder (default: the folder job beside the plan)")
    parser.add_argument(
        "--out", type=Path, metavar="DIR", required=True, help="where to write sheets/, packet.pdf, packet.html and wall.svg"
    )
    parser.add_argument(
        "--source",
        type=Path,
        metavar="FILE",
        help="a source.json: what to buy becomes a view in the packet (default: beside the plan)",
    )
    parser.add_argument("--paper", choices=("letter", "a4"), default="letter", help="paper of the packet (default: letter)")
    parser.add_argument("--only", metavar="WHAT", help=f"print nothing else: of {WHAT}; several with commas between")
    parser.add_argument("--with", dest="also", metavar="WHAT", help="print this too: figures, labels, charts")
    way = parser.add_mutually_exclusive_group()
    way.add_argument("--landscape", action="store_true", help="all pages lie (default: each board's sheet as fits it)")
    way.add_argument("--portrait", action="store_true", help="all pages stand")
    parser.add_argument(
        "--large", action="store_true", help="the wall sheet as wall.pdf too, on paper twice as wide and high, to hang up"
    )


def run(args: argparse.Namespace) -> int:
    """Check the plan, then draw it; exit status 1, with nothing drawn, if the check finds a breach."""
    from yieldopt.checking import check
    from yieldopt.ground.files import write_all_atomically
    from yieldopt.planned.sound import plan_with_job

    job, plan = plan_with_job(args.plan, args.job)
    findings = check(job, plan)
    if findings:
        breaches = counted(len(findings), "breach", "es")
        print(*findings, f"{breaches}; nothing was drawn. Do not cut by this plan.", sep="\n", file=sys.stderr)
        return 1
    files = _files(args, job, plan)
    write_all_atomically(args.out, files)
    print("\n".join(_told(args.out, files, job, plan)))
    return 0


def _files(args: argparse.Namespace, job: Job, plan: Plan) -> dict[str, str | bytes]:
    from yieldopt.drawing.packet.packet import packet_files
    from yieldopt.drawing.packet.today import printed_date
    from yieldopt.drawing.page.paper import PAPERS

    sections = _sections(args)
    paper = PAPERS[args.paper].lying if args.landscape else PAPERS[args.paper].standing
    held = args.landscape or args.portrait
    return packet_files(job, plan, paper, printed_date(), _buying(args, job.name), sections, held, args.large)


def _told(out: Path, files: Mapping[str, str | bytes], job: Job, plan: Plan) -> list[str]:
    from yieldopt.insight.second_choice import summary

    lines = [f"{counted(len(plan.boards), 'sheet')} and the packet are in {out}."]
    stale = sorted(p.name for p in (out / "sheets").glob("*.svg") if f"sheets/{p.name}" not in files)
    if stale:
        lines.append(f"sheets/ holds sheets of an earlier plan, of boards that this one does not cut: {', '.join(stale)}")
    lines.append(summary(job, plan) + ".")
    if not plan.complete:
        lines.append("INCOMPLETE: " + "; ".join(f"{u.qty} of {u.part} unplaced" for u in plan.unplaced))
    return lines


def _sections(args: argparse.Namespace) -> list[str]:
    """What to print. Raises `UsageError` for what is nothing of a packet."""
    from yieldopt.drawing.packet.packet import SECTIONS, USUAL
    from yieldopt.ground.errors import UsageError

    def named(option: str, text: str) -> list[str]:
        names = [n.strip() for n in text.split(",") if n.strip()]
        unknown = [n for n in names if n not in SECTIONS]
        if unknown or not names:
            known = "; ".join(f"{name}: {what}" for name, what in SECTIONS.items())
            raise UsageError(f"{option}: found {', '.join(unknown) or 'nothing'}, expected some of these. {known}")
        return names

    only = named("--only", args.only) if args.only is not None else list(USUAL)
    return only + (named("--with", args.also) if args.also is not None else [])


def _buying(args: argparse.Namespace, job: str) -> StudyRecord | None:
    """What `source.json` holds, named or beside the plan; None where there is none. Raises `UsageError` for anything else,
    and for the study of another job."""
    from yieldopt.ground.errors import UsageError
    from yieldopt.records.studyfile import loads

    beside = args.plan.parent / "source.json"
    path = args.source or (beside if beside.is_file() else None)
    try:
        found = None if path is None else loads(path.read_text(encoding="utf-8-sig"))
    except (UsageError, UnicodeDecodeError) as error:
        raise UsageError(f"{path}: {error}") from error
    if found is not None and found.job != job:
        raise UsageError(f"{path}: what to buy for {found.job}, not for {job}")
    return found
