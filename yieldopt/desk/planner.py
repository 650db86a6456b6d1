"""One planning run for the page, in a process of its own: how it stands, the layouts as they improve, and the plan it writes."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from yieldopt.ground.errors import CheckFailed, YieldoptError

if TYPE_CHECKING:
    from yieldopt.planning.result import Progress
    from yieldopt.wood.lumber import Job

# Where in the job's folder the plan lies.
PLAN = "plan"
# And in that, the one before it.
BEFORE = "before"
# Seconds between two sketches at least: each takes the planner's time.
BETWEEN = 0.5
FAULT = "the independent check refused the plan, which is a fault of the program"
# What the run says: how it stands, a sketch, its end, why there is no plan.
Said = tuple[Literal["stands", "sketch", "done", "failed"], Any]


@dataclass(frozen=True)
class Standing:
    """Where a run stands: seconds since it began, net cost and bound in money, parts without a place, what it is at."""

    seconds: float
    cost: float | None
    bound: float | None
    missing: int
    doing: str


@dataclass
class Run:
    """One run. `shown` is the newest plan that has passed the check, as the text of a plan file, and its number."""

    number: int
    # The job as it was when the run began.
    job: Job
    state: Literal["running", "done", "failed"] = "running"
    standings: list[Standing] = field(default_factory=list)
    shown: str | None = None
    sketches: int = 0
    error: str | None = None


class Planner:
    """The page's planner: one run at a time. `begin` refuses while one is under way."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._lock = threading.Lock()
        self._process: BaseProcess | None = None
        self.run: Run | None = None

    def begin(self, job: Job, seconds: float) -> Run:
        """Plan the job, which is the one in the folder, for so many seconds. Raises `YieldoptError` while a run is under way."""
        with self._lock:
            if self.run is not None and self.run.state == "running":
                raise YieldoptError("a plan is being made already")
            # Made anew: a copy of this process would have copies of locks that other threads hold.
            context = multiprocessing.get_context("spawn")
            here, theirs = context.Pipe(duplex=False)
            # Not a daemon: it has workers of its own.
            self._process = context.Process(target=_plan, args=(theirs, self._folder, seconds), name="yieldopt desk plan")
            self._process.start()
            theirs.close()
            self.run = Run(1 if self.run is None else self.run.number + 1, job)
            threading.Thread(target=_listen, args=(here, self.run), daemon=True).start()
            return self.run

    def stop(self) -> None:
        """End the search; the best plan so far is checked and written as if the time were up."""
        with self._lock:
            process, run = self._process, self.run
        if process is not None and run is not None and run.state == "running" and process.pid is not None:
            os.kill(process.pid, signal.SIGINT)

    def close(self, patience: float = 20.0) -> None:
        """Stop, and wait until what there is has been written."""
        self.stop()
        if self._process is not None:
            self._process.join(patience)
            if self._process.is_alive():
                self._process.terminate()


def _listen(said: Connection, run: Run) -> None:
    while run.state == "running":
        try:
            kind, what = said.recv()
        except (EOFError, OSError):
            run.error, run.state = "the planner broke off; the job and the plan before it are as they were", "failed"
            return
        if kind == "stands":
            run.standings.append(what)
        elif kind == "sketch":
            run.shown, run.sketches = what, run.sketches + 1
        elif kind == "done":
            run.shown, run.sketches, run.state = what, run.sketches + 1, "done"
        else:
            run.error, run.state = what, "failed"


def _plan(say: Connection, folder: Path, seconds: float) -> None:
    """What the process does: `yieldopt plan`, telling the page."""
    try:
        say.send(("done", _planned(say.send, folder, seconds)))
    except CheckFailed as error:
        say.send(("failed", f"{FAULT}: {error}"))
    except YieldoptError as error:
        say.send(("failed", str(error)))
    except OSError as error:
        say.send(("failed", f"the plan can't be written: {error.strerror}: {error.filename}"))


def _planned(say: Callable[[Said], None], folder: Path, seconds: float) -> str:
    from yieldopt.ground.deadline import Deadline
    from yieldopt.ground.files import write_all_atomically
    from yieldopt.planned.checked import files_of
    from yieldopt.planned.running import Searching
    from yieldopt.planned.whole import planned_whole
    from yieldopt.records.planfile import dumps

    deadline = Deadline(seconds)
    # Before the search and after it, too, it only means: no longer.
    signal.signal(signal.SIGINT, lambda _number, _frame: deadline.stop())
    whole = planned_whole(folder, None, Searching(seconds, 0, 0.0, _Watch(say, folder), deadline=deadline), deadline)
    write_all_atomically(folder / PLAN, {**_before(folder / PLAN), **files_of(whole.job, whole.plan)})
    return dumps(whole.plan)


def _before(at: Path) -> dict[str, str | bytes]:
    """The plan that is there so far with its job, to lie beside the new one."""
    if not (at / "plan.json").exists():
        return {}
    kept = [p for p in (at / "plan.json", *(at / "job").glob("*")) if p.is_file()]
    return {f"{BEFORE}/{p.relative_to(at).as_posix()}": p.read_bytes() for p in kept}


def is_begun(folder: Path) -> bool:
    """Is anything of the plan in the job's folder cut, or ticked off? Raises `UsageError` where it can't be read."""
    from yieldopt.reading.plans import read_plan
    from yieldopt.replanning import tickfile
    from yieldopt.replanning.tickfile import digest_of

    path = folder / PLAN / "plan.json"
    if not path.exists():
        return False
    plan, text = read_plan(path)
    ticks = tickfile.read(folder / PLAN / tickfile.FILE)
    made = any(c.state == "done" for b in plan.boards for c in b.cuts) or any(b.spoiled for b in plan.boards)
    return made or (ticks is not None and ticks.plan == digest_of(text) and not ticks.empty)


class _Watch:
    """Tells of each improvement, and shows a checked sketch of it now and then."""

    def __init__(self, say: Callable[[Said], None], folder: Path) -> None:
        from yieldopt.reading import read_job

        self._say, self._job = say, read_job(folder)
        self._told: tuple[float | None, float | None, int] | None = None
        self._drawn: tuple[float | None, int] | None = None
        self._at = -BETWEEN

    def __call__(self, p: Progress) -> None:
        now = (p.cost, p.bound, p.missing)
        if now != self._told:
            self._told = now
            self._say(("stands", Standing(p.seconds, p.cost, p.bound, p.missing, p.doing)))
        if p.sketch is not None and (p.cost, p.missing) != self._drawn and p.seconds - self._at >= BETWEEN:
            from yieldopt.checking import check
            from yieldopt.records.planfile import dumps

            self._drawn, self._at = (p.cost, p.missing), p.seconds
            plan = p.sketch()
            if findings := check(self._job, plan):
                raise CheckFailed([str(f) for f in findings])
            self._say(("sketch", dumps(plan)))
