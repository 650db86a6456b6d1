"""Planning again from a phone: what `yieldopt replan` does in the plan's folder, in the background, one for each plan."""

from __future__ import annotations

import threading
import uuid
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from yieldopt.ground.errors import CheckFailed, YieldoptError
from yieldopt.web.missing import NothingHere
from yieldopt.web.ticking import CHANGED, Overtaken

SECONDS = 6.0


@dataclass(frozen=True)
class Again:
    """What came of it."""

    revision: int
    said: tuple[str, ...]
    # Per changed sheet: board, how, orders whose lines are rubbed out, orders that are drawn.
    sheets: tuple[tuple[str, str, tuple[int, ...], tuple[int, ...]], ...]
    unplaced: tuple[tuple[str, int, str], ...]


class NotPlanned(YieldoptError):
    """There is no new plan, and why; this one can be sent from one process to another."""


def plan_again(folder: Path, wanted: str, who: str) -> Again:
    """Plan again in `folder` from its ticks, if its plan is the one of digest `wanted`. Raises `NotPlanned`."""
    try:
        return _plan_again(folder, wanted, who)
    except CheckFailed as error:
        raise NotPlanned(f"the independent check refused the plan, which is a fault of the program: {error}") from None
    except YieldoptError as error:
        raise NotPlanned(str(error)) from None
    except OSError as error:
        raise NotPlanned(f"the rack's machine can't write there: {error.strerror}; nothing was changed") from None


def _plan_again(folder: Path, wanted: str, who: str) -> Again:
    from yieldopt.planning.warming import warm
    from yieldopt.reading.job import read_job
    from yieldopt.reading.plans import read_plan
    from yieldopt.replanning.again import Replanned, replan
    from yieldopt.replanning.onfolder import Begun, replan_into
    from yieldopt.replanning.revision_told import changes_page, summary
    from yieldopt.replanning.surprise import Surprise
    from yieldopt.replanning.tickfile import digest_of

    plan, text = read_plan(folder / "plan.json")
    if digest_of(text) != wanted:
        raise Overtaken(CHANGED)
    job = read_job(folder / "job")
    warm()

    def beside(result: Replanned, new: Any) -> dict[str, str | bytes]:
        return {"changes.html": changes_page(job, plan, result, new)} if new.revision != plan.revision else {}

    def planner(happened: Surprise) -> Replanned:
        return replan(job, plan, happened, seconds=SECONDS)

    ended = replan_into(Begun(folder / "plan.json", text, plan, job), folder, Surprise(), planner, who, beside)
    note = [ended.note] if ended.note else []
    return Again(
        ended.plan.revision,
        (*note, *summary(job, plan, ended.result)),
        tuple((c.board, c.how, _orders(c.rub_out), _orders(c.draw)) for c in ended.result.changes),
        tuple((u.part, u.qty, u.why) for u in ended.plan.unplaced),
    )


def _orders(cuts: Any) -> tuple[int, ...]:
    return tuple(c.order for c in cuts)


@dataclass
class Run:
    """One run of it."""

    name: str
    plan: str
    state: str = "waiting"
    again: Again | None = None
    error: str | None = None
    ended: threading.Event = field(default_factory=threading.Event)


class Replanner:
    """The newest run of each plan. `submit` does the work elsewhere."""

    def __init__(self, submit: Callable[[Path, str, str], Future[Again]]) -> None:
        self._submit = submit
        self._lock = threading.Lock()
        self._runs: dict[int, Run] = {}

    def begin(self, number: int, folder: Path, plan: str, who: str) -> Run:
        """Plan again, unless that is under way."""
        with self._lock:
            run = self._runs.get(number)
            if run is not None and not run.ended.is_set() and run.plan == plan:
                return run
            run = self._runs[number] = Run(uuid.uuid4().hex, plan, "running")
        self._submit(folder, plan, who).add_done_callback(lambda done: _end(run, done))
        return run

    def look(self, number: int, name: str) -> Run:
        """How it stands. Raises `NothingHere` where it was none of this run of the page, or where there is a newer one."""
        with self._lock:
            run = self._runs.get(number)
        if run is None or run.name != name:
            raise NothingHere
        return run


def _end(run: Run, done: Future[Again]) -> None:
    error = None if done.cancelled() else done.exception()
    if done.cancelled():
        run.error = "the page was stopped"
    elif error is not None:
        known = isinstance(error, YieldoptError)
        run.error = str(error) if known else f"planning again broke off ({type(error).__name__}); nothing was changed"
    else:
        run.again = done.result()
    run.state = "done"
    run.ended.set()
