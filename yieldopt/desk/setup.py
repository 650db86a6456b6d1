"""What one run of the desk works on: the job that is open, its planner and its trials; one job at a time."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from yieldopt.desk.buying import Buyer
from yieldopt.desk.key import Keys
from yieldopt.desk.planner import Planner
from yieldopt.desk.shelf import Shelf
from yieldopt.desk.trying import Attempts, warm_up
from yieldopt.ground.errors import YieldoptError
from yieldopt.web.searcher import Searcher


class NothingOpen(YieldoptError):
    """No job is open, or another one than the window has."""


@dataclass(frozen=True)
class Opened:
    """A job on the desk; `number` tells it from others that were opened in this run."""

    number: int
    folder: Path
    planner: Planner
    trials: Attempts


@dataclass
class Desk:
    """`entered`: called once a window has come in, to show the key for the next."""

    keys: Keys
    shelf: Shelf = field(default_factory=lambda: Shelf(None))
    entered: Callable[[], None] = lambda: None

    def __post_init__(self) -> None:
        self._lock = threading.Lock()
        self._count = 0
        self._now: Opened | None = None
        self.searcher, self.buyer = Searcher(), Buyer()

    def open(self, folder: Path) -> Opened:
        """Put this job on the desk in place of the one before, whose search ends with its best plan written."""
        with self._lock:
            before, self._count = self._now, self._count + 1
            self._now = Opened(self._count, folder, Planner(folder), Attempts(folder, self.searcher.submit))
        if before is not None:
            before.planner.close()
        self.shelf.note(folder)
        return self._now

    def at(self, number: str | None = None) -> Opened:
        """The job that is open; with a window's `number` that very one. Raises `NothingOpen`."""
        now = self._now
        if now is None:
            raise NothingOpen("no job is open: choose one first")
        if number is not None and number != str(now.number):
            raise NothingOpen("another job was opened in another window; what is typed here is not saved")
        return now

    @property
    def now(self) -> Opened | None:
        """The job that is open, if there is one."""
        return self._now

    def warm(self) -> None:
        """Bring up the process of the trials, so that the first doesn't wait for it."""
        self.searcher.submit(warm_up)

    def close(self) -> None:
        """End what is under way; a search's best plan so far is written."""
        if self._now is not None:
            self._now.planner.close()
        self.searcher.close()
        self.buyer.close()
