"""Plan again in a plan's folder while others tick there: what comes meanwhile is in the new revision or beside it, never gone."""

from __future__ import annotations

import os
from collections.abc import Callable
from contextlib import ExitStack, nullcontext
from dataclasses import dataclass, replace
from pathlib import Path

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import UsageError
from yieldopt.ground.files import write_all_atomically
from yieldopt.records import history
from yieldopt.records.planfile import loads
from yieldopt.replanning import tickfile
from yieldopt.replanning.again import Replanned
from yieldopt.replanning.carrying import carried
from yieldopt.replanning.surprise import Surprise
from yieldopt.replanning.tickfile import FILE, Ticks, digest_of
from yieldopt.replanning.ticks import joined, ticked
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

# After so many plans for which the bench was too quick, it has to wait for the next one.
FREE_TRIES = 2


@dataclass(frozen=True)
class Begun:
    """The plan that there is: its file, the text of it, what it says, its job."""

    path: Path
    text: str
    plan: Plan
    job: Job


@dataclass(frozen=True)
class Ended:
    """What came of it; `note` says what the ticks were, None where there are none."""

    result: Replanned
    plan: Plan
    note: str | None


Planner = Callable[[Surprise], Replanned]
# From the result and the new plan with its history to what lies beside it, by path.
Beside = Callable[[Replanned, Plan], dict[str, str | bytes]]


def replan_into(
    begun: Begun, out: Path, told: Surprise, planner: Planner, who: str, beside: Beside, deadline: Deadline | None = None
) -> Ended:
    """Plan again from the ticks beside the plan and from what was `told`, and write it to `out`.

    Ticks that come while this goes on are taken over: as they are where the new plan has their cut or piece where it was, else
    by planning again, at last with the bench waiting. Raises as `replan`; `UsageError` where the plan itself was made anew by
    somebody else meanwhile; nothing has been written then. Second choices are looked for until the `deadline`; the plan in
    what comes back says so where it did not reach them.
    """
    folder = begun.path.parent
    for tries in range(FREE_TRIES + 1):
        last = tries == FREE_TRIES
        with _alone(folder, out) if last else nullcontext():
            before = _ticks(folder)
            ticks, note = ticked(before, folder / FILE, begun.job, begun.plan, begun.text)
            surprise = joined(ticks, told)
            result = planner(surprise)
            new = _with_history(begun, result, surprise.told, who)
            with nullcontext() if last else _alone(folder, out):
                ended = _written(begun, out, before, Ended(result, new, note), beside, deadline)
        if ended is not None:
            return ended
    raise AssertionError("nothing can come meanwhile while the lock is held")


def _alone(folder: Path, out: Path) -> ExitStack:
    """The folders in which somebody may tick, locked, always in the same order; the stack lets go of them."""
    ours, places = folder.resolve(), {folder.resolve(), out.resolve()}
    with ExitStack() as stack:
        for place in sorted(places):
            # Where nothing can be written nobody ticks, and where there is no plan yet neither.
            if (place / "plan.json").exists() and (place != ours or place == out.resolve() or os.access(place, os.W_OK)):
                stack.enter_context(tickfile.alone(place))
        return stack.pop_all()


def _ticks(folder: Path) -> Ticks | None:
    return tickfile.read(folder / FILE)


def _with_history(begun: Begun, result: Replanned, told: tuple[str, ...], who: str) -> Plan:
    if result.plan.revision == begun.plan.revision:
        return result.plan
    return history.recorded(result.plan, history.entries(begun.plan), told, who, history.now())


def _written(
    begun: Begun, out: Path, before: Ticks | None, ended: Ended, beside: Beside, deadline: Deadline | None
) -> Ended | None:
    """Written, or None where something came meanwhile that this plan has no place for."""
    from yieldopt.insight.second_choice import with_second_choices
    from yieldopt.planned.checked import files_of

    folder, own = begun.path.parent, digest_of(begun.text)
    after = _ticks(folder)
    mine = after if after is not None and after.plan == own else None
    ended = replace(ended, plan=with_second_choices(ended.result.job, ended.plan, deadline))
    made = files_of(ended.result.job, ended.plan)
    text = str(made["plan.json"])
    ticks = carried(before if before is not None and before.plan == own else None, mine, begun.plan, loads(text), digest_of(text))
    if ticks is None:
        return None
    if out.resolve() == folder.resolve() and _text(begun.path) != begun.text:
        raise UsageError(f"{begun.path}: the plan was made again by somebody else meanwhile; nothing was written. Plan again")
    files: dict[str, str | bytes] = {}
    if ended.plan.revision != begun.plan.revision:
        files = history.earlier_files(begun.path, begun.text, begun.plan)
    files |= beside(ended.result, ended.plan)
    there = _ticks(out)
    if there is not None and there.plan != ticks.plan:
        files[tickfile.earlier_name(there)] = tickfile.dumps(there)
    if there is not None or not ticks.empty:
        files[FILE] = tickfile.dumps(ticks)
    write_all_atomically(out, {**files, **made})
    return ended


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError):
        return ""
