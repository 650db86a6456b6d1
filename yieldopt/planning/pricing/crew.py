"""Who prices stocks: threads of this process, which share the stocks' arrays, or other processes, here or on a cluster.

Whatever the executor, answers come in the order of the questions and are the same, so a plan does not depend on it.
"""

from __future__ import annotations

import uuid
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Literal, Protocol

import numpy as np
import numpy.typing as npt

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.pricing.sections import Counted, Priced, SectionPricer, Shape
from yieldopt.planning.tuning import USUAL, Tuning
from yieldopt.planning.wood.stock import Stock
from yieldopt.wood.lumber import Job
from yieldopt.workers.copies import Copies
from yieldopt.workers.executors import Manned
from yieldopt.workers.serial import Serial

Floats = npt.NDArray[np.float64]
# Which reading of a stock is asked: see `Engine`.
Kind = Literal["full", "quick", "loose"]
Pricers = Mapping[Kind, Sequence[SectionPricer]]
# Stock, money per item, money per square inch of kept offcut, rows to count.
Task = tuple[int, Floats, float, Counted]


class OutOfTime(Exception):
    """The deadline passed within a round of pricing; caught by column generation."""


class Crew(Protocol):
    """Answers a round of questions in order. Raises `OutOfTime` when the deadline passes before all are answered."""

    def price(self, pricers: Pricers, kind: Kind, tasks: Sequence[Task], deadline: Deadline | None) -> list[Priced]: ...


def priced(pricers: Pricers, kind: Kind, task: Task, up: bool) -> Priced:
    """The answer to one question; with `up` its worth is never too low."""
    i, values, density, counted = task
    return pricers[kind][i].price(values, density, counted, up)


@dataclass(frozen=True)
class Here:
    """Threads of this process, or its own thread: compiled pricing lets go of the interpreter's lock."""

    executor: Executor

    def price(self, pricers: Pricers, kind: Kind, tasks: Sequence[Task], deadline: Deadline | None) -> list[Priced]:
        def one(task: Task) -> Priced:
            if deadline is not None and deadline.over:
                raise OutOfTime
            return priced(pricers, kind, task, deadline is None)

        return list(self.executor.map(one, tasks)) if len(tasks) > 1 else [one(t) for t in tasks]


@dataclass(frozen=True)
class Recipe:
    """All that a job is made ready for planning from. Much smaller than what comes of it, so each worker makes that itself."""

    job: Job
    full: Shape
    quick: Shape
    stocks: tuple[Stock, ...] | None
    still: tuple[int, ...] | None
    tuning: Tuning = USUAL
    name: str = field(default_factory=lambda: uuid.uuid4().hex)


@dataclass
class Elsewhere:
    """Workers of another executor: processes of this machine or of a cluster. Where they are processes of this machine, this
    one takes a share of each round."""

    executor: Executor
    recipe: Recipe
    workers: int
    # Set once the workers are gone, most often for want of memory: this process then does all by itself.
    gone: bool = False

    def price(self, pricers: Pricers, kind: Kind, tasks: Sequence[Task], deadline: Deadline | None) -> list[Priced]:
        if len(tasks) < 2 or self.gone:
            return self._here(pricers, kind, tasks, deadline)
        near = isinstance(self.executor, ProcessPoolExecutor)
        tuned = self.recipe.tuning.spreading
        size = -(-len(tasks) // (tuned.parts_a_worker * (self.workers + near)))
        parts = [tasks[k : k + size] for k in range(0, len(tasks), size)]
        answers: list[list[Priced]] = [[] for _ in parts]
        asked: dict[int, Future[list[Priced] | None]] = {}
        try:
            # What has been asked of a process can't be taken back safely (should it end, the others would hang), so that
            # only a little is asked ahead.
            for n, part in enumerate(parts):
                if not near or sum(not f.done() for f in asked.values()) < tuned.ahead * self.workers:
                    asked[n] = self._ask(part, kind, deadline is None, None)
                else:
                    answers[n] = self._here(pricers, kind, part, deadline)
            for n, future in asked.items():
                if deadline is not None and deadline.over:
                    raise OutOfTime
                answer = future.result()
                if answer is None:
                    # This worker has not met the job yet.
                    answer = self._ask(parts[n], kind, deadline is None, self.recipe).result()
                answers[n] = answer or []
        except BrokenExecutor:
            self.gone = True
            return self._here(pricers, kind, tasks, deadline)
        finally:
            if not near:
                for future in asked.values():
                    future.cancel()
        return [p for some in answers for p in some]

    @staticmethod
    def _here(pricers: Pricers, kind: Kind, tasks: Sequence[Task], deadline: Deadline | None) -> list[Priced]:
        return Here(Serial()).price(pricers, kind, tasks, deadline)

    def _ask(self, part: Sequence[Task], kind: Kind, up: bool, recipe: Recipe | None) -> Future[list[Priced] | None]:
        return self.executor.submit(answered, self.recipe.name, recipe, kind, part, up)

    def begin(self, pricers: Pricers) -> None:
        """Start the workers if they are copies of this process: they then know the pricers without being told of the job."""
        if isinstance(self.executor, Copies):
            _ready[self.recipe.name] = pricers
            self.executor.begin()
            del _ready[self.recipe.name]


# What this process keeps ready when it is a worker, the latest used last.
_ready: OrderedDict[str, Pricers] = OrderedDict()


def answered(name: str, recipe: Recipe | None, kind: Kind, part: Sequence[Task], up: bool) -> list[Priced] | None:
    """Run in a worker: answers to some questions about the job of this name; None where it is not ready and no recipe came."""
    if name not in _ready:
        if recipe is None:
            return None
        from yieldopt.planning.pricing.context import prepare

        given = (recipe.stocks, recipe.still, recipe.tuning)
        _ready[name] = prepare(recipe.job, Serial(), recipe.full, recipe.quick, *given).engine.pricers
        while len(_ready) > recipe.tuning.spreading.kept_ready:
            _ready.popitem(last=False)
    _ready.move_to_end(name)
    return [priced(_ready[name], kind, task, up) for task in part]


def shares_memory(executor: Executor) -> bool:
    """True for executors whose workers see this process's memory."""
    return isinstance(executor, ThreadPoolExecutor | Serial)


def workers_of(executor: Executor) -> int:
    """How many workers an executor has, as far as it says."""
    return max(1, executor.workers) if isinstance(executor, Manned) else 2
