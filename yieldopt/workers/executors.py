"""The executor a planning run works through: threads, processes of this machine, or the workers of a cluster."""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from multiprocessing import get_context
from typing import Any, Protocol, runtime_checkable

from yieldopt.ground.errors import UsageError
from yieldopt.workers.child import settle
from yieldopt.workers.copies import Copies, possible


@dataclass(frozen=True, slots=True)
class Workers:
    """Who is to do the work. The plan does not depend on it."""

    # How many; None: as many as this process may use cores.
    count: int | None = None
    # Processes or threads; None: processes where they can be copies of this one, which start at once.
    processes: bool | None = None
    # Address of a `dask` scheduler, such as "tcp://10.0.0.5:8786"; its workers do the work, however many they are.
    cluster: str | None = None


@runtime_checkable
class Manned(Protocol):
    """An executor that says how many work for it; the standard ones don't."""

    @property
    def workers(self) -> int: ...


class Threads(ThreadPoolExecutor):
    """Threads of this process."""

    def __init__(self, workers: int) -> None:
        super().__init__(workers)
        self.workers = workers


class Anew(ProcessPoolExecutor):
    """Processes that are started from nothing."""

    def __init__(self, workers: int) -> None:
        super().__init__(workers, get_context("spawn"), settle)
        self.workers = workers


class Cluster(Executor):
    """The workers of a cluster that a `dask` client knows, however many there are by now."""

    def __init__(self, client: Any) -> None:
        self._knows, self._executor = client, client.get_executor()

    @property
    def workers(self) -> int:
        """Threads of all its workers together."""
        return sum(self._knows.nthreads().values())

    def submit(self, fn, /, *args, **kwargs):  # type: ignore[no-untyped-def]
        """As any executor."""
        return self._executor.submit(fn, *args, **kwargs)


def cores() -> int:
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def executor_of(workers: Workers) -> Iterator[Executor]:
    """The executor, shut down at the end; a cluster is left as it was. Raises `UsageError` where it can't be reached."""
    if workers.cluster is not None:
        with _cluster(workers.cluster) as executor:
            yield executor
        return
    pool = _pool(workers.count or cores(), possible() if workers.processes is None else workers.processes)
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


def _pool(count: int, processes: bool) -> Executor:
    if not processes or count == 1:
        return Threads(count)
    # The first process works, too.
    return Copies(count - 1) if possible() else Anew(count - 1)


@contextmanager
def _cluster(address: str) -> Iterator[Executor]:
    try:
        distributed = import_module("distributed")
    except ImportError as error:
        raise UsageError("--cluster needs the package `distributed`: pip install 'yieldopt[cluster]'") from error
    try:
        client = distributed.Client(address, timeout="10s")
    except (OSError, ValueError) as error:
        raise UsageError(f"--cluster: no scheduler answers at {address!r}: {error}") from error
    try:
        yield Cluster(client)
    finally:
        client.close()
