"""Which processes work for a pool: each says so as it begins, since a pool itself tells nobody."""

from __future__ import annotations

from multiprocessing import active_children
from multiprocessing.context import SpawnContext
from multiprocessing.process import BaseProcess
from multiprocessing.queues import SimpleQueue

# What a new process is handed to say it by.
Told = SimpleQueue[int]


class Born:
    """The processes that have begun to work, of those that were handed `told`."""

    def __init__(self, context: SpawnContext) -> None:
        self.told: Told = context.SimpleQueue()
        self._numbers: set[int] = set()

    def processes(self) -> list[BaseProcess]:
        """Those that are still there."""
        while not self.told.empty():
            self._numbers.add(self.told.get())
        return [p for p in active_children() if p.pid in self._numbers]
