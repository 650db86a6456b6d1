"""A planning run as a command makes it: from a folder or a rack, with Ctrl-C ending it with the best so far."""

from __future__ import annotations

import math
import signal
import uuid
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import UsageError
from yieldopt.planned.checked import plan_checked
from yieldopt.planning.result import Observer, Result
from yieldopt.planning.warming import warm
from yieldopt.reading import job_name, read_job
from yieldopt.records.sections import Holds
from yieldopt.wood.lumber import Job
from yieldopt.workers.executors import Workers, executor_of

if TYPE_CHECKING:
    from yieldopt.rack.door.facade import Rack


# Seconds at most for tidying the layouts and finding reasons once the search has ended.
AFTER = 5.0
# Share of the command's time, and seconds at most, that the check, the second choices and the files take at the end.
ENDING, MOST_ENDING = 0.08, 2.0


def share(text: str, option: str = "--until-gap", such: str = "2%") -> float:
    """`2%` or `0.02` as a share; raises `UsageError` for anything else from 0 to 1."""
    number, percent, rest = text.strip().partition("%")
    try:
        value = float(number) / (100 if percent else 1)
    except ValueError:
        value = -1.0
    if rest.strip() or not 0 <= value < 1:
        raise UsageError(f"{option}: found {text!r}, expected a share such as {such}")
    return value


@contextmanager
def stopping(deadline: Deadline) -> Iterator[None]:
    """The first Ctrl-C ends the search with the best plan so far; a second one stops at once."""

    def stop(_number: int, _frame: FrameType | None) -> None:
        deadline.stop()
        signal.signal(signal.SIGINT, before)

    before = signal.getsignal(signal.SIGINT)
    signal.signal(signal.SIGINT, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


@dataclass(frozen=True)
class Searching:
    """How a command searches."""

    seconds: float
    seed: int
    until_gap: float
    observer: Observer | None
    workers: Workers = field(default_factory=Workers)
    # Steps of the search at most; None: as many as the time allows.
    steps: int | None = None
    # The command's own, made when it began; None: one that begins with the search.
    deadline: Deadline | None = None

    def clock(self) -> Deadline:
        """The deadline of the planner: what the command must do after it is left aside."""
        whole = self.deadline or Deadline(self.seconds)
        return whole.part(whole.left - min(MOST_ENDING, ENDING * whole.total))


def planned(folder: Path, how: Searching) -> tuple[Job, Result]:
    """The job in `folder` and its checked plan."""
    job = read_job(folder)
    warm()
    with executor_of(how.workers) as executor:
        deadline = how.clock()
        with stopping(deadline):
            return job, _searched(job, how, deadline, executor)


def _searched(job: Job, how: Searching, deadline: Deadline, executor: Executor) -> Result:
    return plan_checked(
        job,
        seconds=how.seconds,
        seed=how.seed,
        until_gap=how.until_gap,
        observer=how.observer,
        deadline=deadline,
        executor=executor,
        after=AFTER,
        steps=how.steps,
    )


def planned_from_rack(folder: Path, rack: str, how: Searching) -> tuple[Job, Result, dict[str, str]]:
    """The job in `folder` on the boards of a rack that no other job holds, its checked plan, and the boards of its species
    that others hold (name -> job). The boards that the plan cuts are held for the job from then on.

    While the search runs all boards it may use are held under a token that runs out by itself, so that two planners
    never take the same board and a crashed one does not keep it.
    """
    from yieldopt.rack.door.facade import Rack

    warm()
    token = uuid.uuid4().hex
    with executor_of(how.workers) as executor, Rack.open(rack) as shelf:
        deadline = how.clock()
        job, elsewhere = take_boards(shelf, folder, token, math.ceil(how.seconds))
        name = job.name
        try:
            with stopping(deadline):
                result = _searched(job, how, deadline, executor)
            cut = [b.board for b in result.plan.boards]
            shelf.settle(name, cut, token)
        except BaseException:
            shelf.release(job=name, token=token)
            raise
    plan = result.plan.saying(Holds(tuple(cut)))
    return job, replace(result, plan=plan), elsewhere


def take_boards(shelf: Rack, folder: Path, token: str, seconds: int) -> tuple[Job, dict[str, str]]:
    """The job with the boards of its species that are free, held under `token` for `seconds` and a while; and those of its
    species that others hold."""
    from yieldopt.rack.board.errors import BoardHeld
    from yieldopt.rack.books.holding import PLANNER_SECONDS

    name = job_name(folder)
    while True:
        held = shelf.held_elsewhere(name)
        job = read_job(folder, boards=shelf.available_boards(name), held={r.name: h.job for r, h in held})
        species = {p.species for p in job.parts}
        named = {b for p in job.parts for b in p.sources} | {p.board for p in job.pins} | job.leave
        boards = tuple(b for b in job.boards if b.species in species or b.name in named)
        try:
            shelf.hold(job.name, [b.name for b in boards if b.name not in job.leave], token, seconds + PLANNER_SECONDS)
        except BoardHeld:
            # Another planner was quicker by a moment; what it left is looked at anew.
            continue
        return replace(job, boards=boards), {r.name: h.job for r, h in held if r.board.species in species}
