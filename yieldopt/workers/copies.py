"""A pool of processes that are copies of this one: they start at once and share what it has made ready, memory and all."""

from __future__ import annotations

import multiprocessing
import sys
from concurrent.futures import ProcessPoolExecutor

from yieldopt.workers.child import settle


class Copies(ProcessPoolExecutor):
    """Forked when `begin` is called or work first comes: until then no thread should run, since a copy gets its locks, but
    not the thread to let go of them."""

    def __init__(self, workers: int) -> None:
        """Raises `ValueError` on systems that can't fork."""
        super().__init__(workers, multiprocessing.get_context("fork"), settle)
        self.workers = workers

    def begin(self) -> None:
        """Make the copies now, if there are none yet."""
        self.submit(_nothing).result()


def possible() -> bool:
    """Whether processes can be copied here, and may be: macOS can, but its own libraries don't stand it."""
    return "fork" in multiprocessing.get_all_start_methods() and sys.platform == "linux"


def _nothing() -> None:
    """A task for a process to start with."""
