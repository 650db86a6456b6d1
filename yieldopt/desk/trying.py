"""Planning again on trial: from the plan at hand, with other wishes or after surprises. Nothing is written until it is taken."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

from yieldopt.desk.planner import FAULT, PLAN
from yieldopt.ground.errors import CheckFailed, UsageError, YieldoptError
from yieldopt.records.history import somebody
from yieldopt.replanning import tickfile
from yieldopt.replanning.again import Replanned, replan
from yieldopt.replanning.asking import told
from yieldopt.replanning.bench import Bench
from yieldopt.replanning.intime import begun
from yieldopt.replanning.onfolder import Begun, replan_into
from yieldopt.replanning.revision_told import changes_page
from yieldopt.replanning.surprise import Surprise
from yieldopt.replanning.ticks import joined, ticked
from yieldopt.wood.lumber import Board, Job

# Of the search, so that the answer is there within five.
SECONDS = 3.0
MEANWHILE = "the bench has ticked something off meanwhile: plan again"
WISHES = "planned round the wishes"


class NoPlan(YieldoptError):
    """There is no other plan, and why; it can be sent from one process to another."""


@dataclass
class Attempt:
    """One trial: what it began with and what came of it."""

    number: int
    begun: Begun
    # What was told at the desk, and the same with what the bench had ticked by then.
    told: Surprise
    surprise: Surprise
    state: Literal["working", "done", "failed", "taken"] = "working"
    result: Replanned | None = None
    error: str | None = None


class Attempts:
    """The newest trial. `submit` does the work elsewhere."""

    def __init__(self, folder: Path, submit: Callable[..., Future[Any]]) -> None:
        self._at, self._submit = folder / PLAN, submit
        self._lock = threading.Lock()
        self._count = 0
        self.now: Attempt | None = None

    def begin(self, job: Job, lines: Sequence[str]) -> Attempt:
        """Plan round what `job` says otherwise than the plan at hand, and after what `lines` tell and the bench has ticked.

        Raises `UsageError` where there is no plan, `InputError` for lines that can't be true of it.
        """
        path = self._at / "plan.json"
        if not path.exists():
            raise UsageError("there is no plan yet: plan the job first")
        was = begun(path, None)
        _still_there(was, job)
        said = _told(was, job, lines)
        ticks, _ = ticked(tickfile.read(self._at / tickfile.FILE), self._at / tickfile.FILE, was.job, was.plan, was.text)
        surprise = joined(ticks, said)
        with self._lock:
            self._count += 1
            trial = self.now = Attempt(self._count, was, said, surprise)
        new = replace(job, boards=tuple(_with_what_came_up(was, b) for b in job.boards))
        self._submit(try_out, new, was, surprise).add_done_callback(lambda done: _end(trial, done))
        return trial

    def take(self, number: int) -> Replanned:
        """Write what came of the trial as the plan, with the plan before it beside it.

        Raises `UsageError` where it is not the newest one, or where plan or ticks have changed since it began.
        """
        with self._lock:
            trial = self.now
            if trial is None or trial.number != number or trial.state != "done" or trial.result is None:
                raise UsageError("this trial is not the newest any more: plan round it again")
            result, was = trial.result, trial.begun

            def made(happened: Surprise) -> Replanned:
                if happened != trial.surprise:
                    raise UsageError(MEANWHILE)
                return result

            def beside(_: Replanned, new: Any) -> dict[str, str | bytes]:
                return {"changes.html": changes_page(was.job, was.plan, result, new)}

            replan_into(was, self._at, trial.told, made, somebody(), beside)
            trial.state = "taken"
            return result

    def leave(self) -> None:
        """The plan stays as it was."""
        with self._lock:
            self.now = None


def _told(was: Begun, job: Job, lines: Sequence[str]) -> Surprise:
    """What the lines say, and the defects that the job has by now."""
    said = told(was.job, was.plan, lines=lines)
    known = was.job.board_named
    found = {
        b.name: new
        for b in job.boards
        if b.name in known and (new := tuple(d for d in b.defects if d not in known[b.name].defects))
    }
    words = (*said.told, *(f"{n}: {d.kind} found" for n, ds in found.items() for d in ds))
    both = {n: (*said.found.get(n, ()), *found.get(n, ())) for n in {*said.found, *found}}
    return replace(said, found=both, told=words or (WISHES,))


def _still_there(was: Begun, job: Job) -> None:
    gone = sorted({b.board for b in was.plan.boards} - set(job.board_named))
    if gone:
        names = ", ".join(gone)
        raise UsageError(f"the plan cuts boards that are not in the table any more: {names}; press Plan to begin from nothing")


def _with_what_came_up(was: Begun, board: Board) -> Board:
    """A board that is cut keeps what came up in it, whether or not that was entered in the job's tables."""
    entry = next((b for b in was.plan.boards if b.board == board.name), None)
    if entry is None or not Bench(was.job.board_named[board.name], entry).touched:
        return board
    more = tuple(d for d in was.job.board_named[board.name].defects if d not in board.defects)
    return replace(board, defects=board.defects + more) if more else board


def try_out(job: Job, was: Begun, surprise: Surprise) -> Replanned:
    """The work of a trial. Raises `NoPlan`."""
    from yieldopt.planning.warming import warm

    warm()
    try:
        return replan(job, was.plan, surprise, seconds=SECONDS)
    except CheckFailed as error:
        raise NoPlan(f"{FAULT}: {error}") from None
    except YieldoptError as error:
        raise NoPlan(str(error)) from None


def warm_up() -> None:
    """Called once the desk is up, so that the first trial doesn't wait for compiled steps."""
    from yieldopt.planning.warming import warm

    warm()


def _end(trial: Attempt, done: Future[Replanned]) -> None:
    error = None if done.cancelled() else done.exception()
    if done.cancelled() or error is not None:
        known = isinstance(error, YieldoptError)
        trial.error = str(error) if known else "planning again broke off; the job and its plan are as they were"
        trial.state = "failed"
    else:
        trial.result, trial.state = done.result(), "done"
