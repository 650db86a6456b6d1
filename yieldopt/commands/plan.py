"""`yieldopt plan`: which part comes from which board, and where."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from yieldopt.counted import counted

if TYPE_CHECKING:
    from collections.abc import Mapping

    from yieldopt.lumber import Job
    from yieldopt.plan import Plan

HELP = "plan a job: which part comes from which board, and where"

SECONDS, DAY = 20.0, 86_400.0
# Least seconds that are planned, whatever loading and reading took.
LEAST = 0.1


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", type=Path, help="the job folder")
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="where to write plan.json and job/")
    parser.add_argument("--rack", metavar="FILE", help="take the boards from this rack, and hold those that the plan cuts")
    parser.add_argument("--seconds", type=float, metavar="S", help="how long it may take (default: 20; with --steps a day)")
    parser.add_argument("--steps", type=int, metavar="N", help="steps of the search: the same plan on any machine")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another number tries another search (default: 0)")
    parser.add_argument(
        "--until-gap", metavar="P", default="0%", help="stop once the proven gap is no more, e.g. 2%% (default: 0%%)"
    )
    parser.add_argument("--workers", type=int, metavar="N", help="how many share the work (default: one a core)")
    parser.add_argument("--threads", action="store_true", help="share the work among threads instead of processes")
    parser.add_argument("--cluster", metavar="ADDRESS", help="let the workers of this dask scheduler do the work")
    parser.add_argument("--quiet", action="store_true", help="don't show progress")


def run(args: argparse.Namespace) -> int:
    """Plan, check, write; 0: all placed, 3: some parts unplaced, 4: our own check refused the plan."""
    from yieldopt.deadline import Deadline

    began = Deadline(DAY)
    from yieldopt.commands.progress import Printer
    from yieldopt.commands.remarks import say_remarks
    from yieldopt.errors import UsageError
    from yieldopt.files import write_all_atomically
    from yieldopt.insight.second_choice import summary as second_summary
    from yieldopt.insight.second_choice import with_second_choices
    from yieldopt.planned.checked import files_of
    from yieldopt.planned.running import Search, planned, planned_from_rack, share
    from yieldopt.records.why import not_reached, why_lines
    from yieldopt.replanning.history import now, recorded, somebody
    from yieldopt.workers.executors import Workers

    seconds = args.seconds if args.seconds is not None else SECONDS if args.steps is None else DAY
    if not 0 < seconds <= DAY:
        raise UsageError(f"--seconds: found {seconds:g}, expected a time above 0 and up to a day")
    if args.steps is not None and args.steps < 1:
        raise UsageError(f"--steps: found {args.steps}, expected 1 or more")
    observer = None if args.quiet else Printer()
    if args.workers is not None and args.workers < 1:
        raise UsageError(f"--workers: found {args.workers}, expected 1 or more")
    workers = Workers(args.workers, False if args.threads else None, args.cluster)
    deadline = Deadline(max(LEAST, seconds - getattr(args, "unseen", 0.0) - began.elapsed))
    how = Search(seconds, args.seed, share(args.until_gap), observer, workers, args.steps, deadline)
    elsewhere: dict[str, str] = {}
    if args.rack:
        job, result, elsewhere = planned_from_rack(args.job, args.rack, how)
    else:
        job, result = planned(args.job, how)
    say_remarks(job)
    plan = with_second_choices(job, recorded(result.plan, (), ["planned"], somebody(), now()), deadline)
    write_all_atomically(args.out, files_of(job, plan))
    skipped = not_reached(plan)
    for line in [
        *_summary(job, result.plan),
        *why_lines(result.plan),
        second_summary(job, plan),
        *([f"the time did not reach: {'; '.join(skipped)}; ask with: yieldopt why {args.out / 'plan.json'}"] if skipped else []),
        *_held(result.plan, elsewhere),
        *_wet(job, result.plan),
        f"written: {args.out / 'plan.json'}",
    ]:
        print(line)
    return 0 if result.plan.complete else 3


def _summary(job: Job, plan: Plan) -> list[str]:
    from yieldopt.insight.unpriced import cost_unknown

    t = plan.totals
    unknown = cost_unknown(job, plan)
    if not any(b.price for b in job.boards):
        why = f"{unknown[0].lower()}{unknown[1:]}" if unknown else "every board costs 0"
        cost = f"{why}, so as little wood was cut as was found; how little it could be is not proven"
    else:
        cost = f"net cost {t.net_cost:.2f}"
        if t.gap is not None:
            cost += f", bound {t.bound:.2f}: no other layout of the kinds considered saves more than {100 * t.gap:.1f} %"
        if unknown:
            cost += f" ({unknown[0].lower()}{unknown[1:]})"
    lines = [f"{counted(len(plan.boards), 'board')} cut, {cost}; yield {100 * t.yield_:.0f} %, {t.seconds:.0f} s"]
    lines += [f"not placed: {u.qty} x {u.part}: {u.why}" for u in plan.unplaced]
    strips = [b.board for b in plan.boards if b.stress_strip is not None]
    if strips:
        lines.append(f"wood for a stress test is kept on {', '.join(strips)}: test it before anything else is cut")
    lines += [f"no wood kept for a stress test on {b.board}: {b.no_stress_strip}" for b in plan.boards if b.no_stress_strip]
    return lines


def _held(plan: Plan, elsewhere: Mapping[str, str]) -> list[str]:
    """Which boards of the rack are kept for the job now, and which of its species others keep from it."""
    from yieldopt.records.sections import Holds

    mine = plan.section(Holds)
    lines = [f"held for {plan.job}: {', '.join(mine.value)}"] if mine and mine.value else []
    if elsewhere:
        lines.append("not looked at, held for another job: " + ", ".join(f"{b} ({job})" for b, job in elsewhere.items()))
    return lines


def _wet(job: Job, plan: Plan) -> list[str]:
    """Boards that are to be glued to each other and whose moisture readings lie apart."""
    from yieldopt.trade.readings import glue_up_warnings

    found = glue_up_warnings(plan, job.boards, job.shop.room)
    return [f"gluing {piece}: {w}" for piece, warnings in found.items() for w in warnings if w.kind == "spread"]
