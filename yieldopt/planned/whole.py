"""A job planned as the command shows it: with its history and second choices, from a folder or a rack; and the lines that say
what came of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from yieldopt.ground.counted import counted
from yieldopt.ground.deadline import Deadline
from yieldopt.insight.second_choice import summary, with_second_choices
from yieldopt.insight.unpriced import cost_unknown
from yieldopt.planned.running import Searching, planned, planned_from_rack
from yieldopt.records.history import now, recorded, somebody
from yieldopt.records.sections import Holds
from yieldopt.records.why import not_reached, why_lines
from yieldopt.trade.readings import glue_up_warnings
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan


@dataclass(frozen=True)
class Whole:
    """The job as it was planned, its plan with everything in it, and boards of its species that others hold (name -> job)."""

    job: Job
    plan: Plan
    elsewhere: Mapping[str, str] = field(default_factory=dict)


def planned_whole(folder: Path, rack: str | None, how: Searching, deadline: Deadline) -> Whole:
    """Second choices are looked for until the `deadline`; the plan says where it did not reach them. Raises as `planned`."""
    elsewhere: Mapping[str, str] = {}
    if rack:
        job, result, elsewhere = planned_from_rack(folder, rack, how)
    else:
        job, result = planned(folder, how)
    plan = recorded(result.plan, (), ["planned"], somebody(), now())
    return Whole(job, with_second_choices(job, plan, deadline), elsewhere)


def told(whole: Whole, path: Path) -> list[str]:
    """What the command prints; `path` is that of the plan's file."""
    job, plan = whole.job, whole.plan
    return [
        *summed_up(job, plan),
        *why_lines(plan),
        summary(job, plan),
        *ask_again(plan, path),
        *_held(plan, whole.elsewhere),
        *_wet(job, plan),
        f"written: {path}",
    ]


def ask_again(plan: Plan, path: Path) -> list[str]:
    """What the time did not reach, and how to get it."""
    skipped = not_reached(plan)
    return [f"the time did not reach: {'; '.join(skipped)}; ask with: yieldopt why {path}"] if skipped else []


def summed_up(job: Job, plan: Plan) -> list[str]:
    """The plan's figures, parts without a place, wood for stress tests."""
    t = plan.totals
    lines = [f"{counted(len(plan.boards), 'board')} cut, {_cost(job, plan)}; yield {100 * t.yield_:.0f} %, {t.seconds:.0f} s"]
    lines += [f"not placed: {u.qty} x {u.part}: {u.why}" for u in plan.unplaced]
    strips = [b.board for b in plan.boards if b.stress_strip is not None]
    if strips:
        lines.append(f"wood for a stress test is kept on {', '.join(strips)}: test it before anything else is cut")
    return lines + [f"no wood kept for a stress test on {b.board}: {b.no_stress_strip}" for b in plan.boards if b.no_stress_strip]


def _cost(job: Job, plan: Plan) -> str:
    """What it costs, and what could still be saved."""
    t = plan.totals
    unknown = cost_unknown(job, plan)
    small = f"{unknown[0].lower()}{unknown[1:]}" if unknown else ""
    if not any(b.price for b in job.boards):
        why = small or "every board costs 0"
        return f"{why}, so as little wood was cut as was found; how little it could be is not proven"
    cost = f"net cost {t.net_cost:.2f}"
    if t.gap is not None:
        cost += f", bound {t.bound:.2f}: no other layout of the kinds considered saves more than {100 * t.gap:.1f} %"
    return f"{cost} ({small})" if small else cost


def _held(plan: Plan, elsewhere: Mapping[str, str]) -> list[str]:
    """Which boards of the rack are kept for the job now, and which of its species others keep from it."""
    mine = plan.section(Holds)
    lines = [f"held for {plan.job}: {', '.join(mine.value)}"] if mine and mine.value else []
    if elsewhere:
        lines.append("not looked at, held for another job: " + ", ".join(f"{b} ({job})" for b, job in elsewhere.items()))
    return lines


def _wet(job: Job, plan: Plan) -> list[str]:
    """Boards that are to be glued to each other and whose moisture readings lie apart."""
    found = glue_up_warnings(plan, job.boards, job.shop.room)
    return [f"gluing {piece}: {w}" for piece, warnings in found.items() for w in warnings if w.kind == "spread"]
