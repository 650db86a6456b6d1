"""Runs plans side by side on a process pool, or on an executor that is handed in, until a deadline."""

from __future__ import annotations

import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Hashable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ProcessPoolExecutor, wait
from itertools import islice
from multiprocessing import get_context
from typing import Any, TypeVar

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import UsageError
from yieldopt.workers.born import Born, Told
from yieldopt.workers.child import settle

Key = TypeVar("Key", bound=Hashable)
Result = TypeVar("Result")
# How often a running step looks whether it has been stopped, seconds.
LOOK = 0.25
# A plan may overrun its own seconds by so much before it is given up.
GRACE = 8.0
# A pool that breaks more often than this is no accident.
MOST_BREAKS = 1
# Tasks under way at once where plans are counted.
WINDOW = 2


class Runner:
    """Work for an executor. Without one it makes a pool of processes when first needed; use it in a `with`."""

    def __init__(
        self,
        executor: Executor | None = None,
        workers: int | None = None,
        plans: int | None = None,
        ready: Callable[[], object] | None = None,
    ) -> None:
        """`ready`: what each new process does before its first task, such as loading compiled functions."""
        # Plans of a whole study where they are counted, not timed: then the clock plays no part in what is begun or taken in.
        self.plans = plans
        self.workers = workers or max(1, min(8, os.cpu_count() or 1))
        self._given, self._ready = executor, ready
        self._own: ProcessPoolExecutor | None = None
        self._context = get_context("spawn")
        self._born = Born(self._context)
        self._breaks = 0

    def __enter__(self) -> Runner:
        return self

    def __exit__(self, *_: object) -> None:
        if self._own is not None:
            # At once: a plan in its last seconds is of no use any more. One that is only starting ends by itself.
            workers = self._born.processes()
            self._own.shutdown(wait=False, cancel_futures=True)
            for worker in workers:
                worker.terminate()
            for worker in workers:
                worker.join()
            self._own = None

    def start(self) -> None:
        """Let the pool's processes load what they need while something else goes on.

        They inherit that Ctrl-C is ignored: it reaches every process of the terminal, and only this one is to act on it.
        """
        if self._given is not None:
            return
        main = threading.current_thread() is threading.main_thread()
        before = signal.signal(signal.SIGINT, signal.SIG_IGN) if main else None
        try:
            for _ in range(self.workers):
                self._executor().submit(_nothing)
        finally:
            if before is not None:
                signal.signal(signal.SIGINT, before)

    def run(
        self, do: Callable[[Any], Result], tasks: Iterable[tuple[Key, Any]], deadline: Deadline, each: float, share: float = 1.0
    ) -> Iterator[tuple[Key, Result]]:
        """`do` of each task, as they are done; no task is begun with less than half of `each` seconds left.

        Tasks come lazily and in order; the results' order depends on the clock, their content does not. Where plans are counted
        this step has a `share` of them, results come in the order of the tasks, and tasks that take no time worth counting
        (`each` 0) are all done.
        """
        tasks = iter(tasks)
        if self.plans is not None:
            yield from self._counted(do, tasks if not each else islice(tasks, max(1, round(share * self.plans))), deadline)
            return
        running: dict[Future[Result], Key] = {}
        more, late = True, 0.0
        while True:
            while more and len(running) < self.workers and not deadline.over and deadline.left >= each / 2:
                task = next(tasks, None)
                more = task is not None
                if task is not None:
                    running[self._submit(do, task[1])] = task[0]
            if not running:
                return
            done, _ = wait(running, timeout=LOOK, return_when=FIRST_COMPLETED)
            late += LOOK if deadline.over and not done else 0.0
            if deadline.stopped or late > each + GRACE:
                for f in running:
                    f.cancel()
                return
            for f in done:
                try:
                    found = f.result()
                except BrokenExecutor as error:
                    # A process was killed, most often for want of memory: what it was at is left out, the rest goes on.
                    self._broken(error)
                    running.clear()
                    break
                yield running.pop(f), found

    def _counted(
        self, do: Callable[[Any], Result], tasks: Iterator[tuple[Key, Any]], deadline: Deadline
    ) -> Iterator[tuple[Key, Result]]:
        """Each task's result in the order of the tasks; how many are under way at once is the same on every machine."""
        running: deque[tuple[Key, Future[Result]]] = deque()
        while not deadline.stopped:
            while len(running) < WINDOW and (task := next(tasks, None)) is not None:
                running.append((task[0], self._submit(do, task[1])))
            if not running:
                return
            key, future = running.popleft()
            while not future.done() and not deadline.stopped:
                wait([future], timeout=LOOK)
            if future.done():
                yield key, future.result()

    def _submit(self, do: Callable[[Any], Result], task: Any) -> Future[Result]:
        try:
            return self._executor().submit(do, task)
        except BrokenExecutor as error:
            self._broken(error)
            return self._executor().submit(do, task)

    def _broken(self, error: BrokenExecutor) -> None:
        """Let a new pool be made; raises `UsageError` where that happens too often."""
        self._breaks += 1
        if self._own is None or self._breaks > MOST_BREAKS:
            raise UsageError("the system keeps ending the processes that plan, most often for want of memory") from error
        self._own.shutdown(wait=False, cancel_futures=True)
        self._own = None

    def _executor(self) -> Executor:
        if self._given is not None:
            return self._given
        if self._own is None:
            self._own = ProcessPoolExecutor(self.workers, self._context, _begin, (self._born.told, self._ready))
        return self._own


def _nothing() -> None:
    """A task for a process to start with."""


def _begin(told: Told, ready: Callable[[], object] | None) -> None:
    """Each worker: say that it is there, leave Ctrl-C to the parent, end with it, be ready before any task's clock runs."""
    settle()
    told.put(os.getpid())
    if ready is not None:
        ready()
