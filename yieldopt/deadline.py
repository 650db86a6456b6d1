"""One clock for a whole command: made when it starts, handed down, looked at in every loop that may be long."""

from __future__ import annotations

import time
from collections.abc import Callable


class Deadline:
    """Runs out after `seconds`, or when `stop()` is called (Ctrl-C). `clock` can be faked in tests."""

    def __init__(self, seconds: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._began = clock()
        self._seconds = seconds
        self._stopped = False

    def stop(self) -> None:
        """Let everything that looks at this deadline end as soon as it can."""
        self._stopped = True

    @property
    def elapsed(self) -> float:
        """Seconds since it was made."""
        return self._clock() - self._began

    @property
    def left(self) -> float:
        """Seconds left, never below zero."""
        return 0.0 if self._stopped else max(0.0, self._seconds - self.elapsed)

    @property
    def over(self) -> bool:
        return self.left <= 0.0
