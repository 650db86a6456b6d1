"""One clock for a whole command: made when it starts, handed down, looked at in every loop that may be long."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

# Seconds that the interpreter takes before a command can look at a clock, where the system does not say.
UNSEEN = 0.1


def since_start() -> float:
    """Seconds since this process began, its interpreter's start included."""
    try:
        began = int(Path("/proc/self/stat").read_text().rpartition(")")[2].split()[19]) / os.sysconf("SC_CLK_TCK")
        return max(0.0, time.clock_gettime(time.CLOCK_BOOTTIME) - began)
    except (OSError, AttributeError, ValueError, IndexError):
        return UNSEEN


class Deadline:
    """Runs out after `seconds`, or when `stop()` is called (Ctrl-C). `clock` can be faked in tests."""

    def __init__(self, seconds: float, clock: Callable[[], float] = time.monotonic, whole: Deadline | None = None) -> None:
        self._clock = clock
        self._began = clock()
        self._seconds = seconds
        self._stopped = False
        self._whole = whole
        self._stops_with: Deadline | None = whole
        # True where steps are counted, not seconds: then no single step may end by the clock.
        self.by_steps = False

    def part(self, seconds: float) -> Deadline:
        """A deadline for one step: over after `seconds` or when this one is; stopping it ends the step alone."""
        part = Deadline(seconds, self._clock, self)
        part.by_steps = self.by_steps
        return part

    @property
    def stopped(self) -> bool:
        """Whether it, or the deadline that it is a part of, was stopped before its time."""
        return self._stopped or (self._stops_with is not None and self._stops_with.stopped)

    def stop(self) -> None:
        """Let everything that looks at this deadline end as soon as it can."""
        self._stopped = True

    def apart(self) -> Deadline:
        """The same end for work in a thread of its own: it reads its own clock, so that what it sees does not depend on
        what other threads do, and `stop()` ends it too."""
        view = Deadline(self.left)
        view._stops_with, view.by_steps = self, self.by_steps
        return view

    @property
    def elapsed(self) -> float:
        """Seconds since it was made."""
        return self._clock() - self._began

    @property
    def total(self) -> float:
        """Seconds that it was given."""
        return self._seconds

    @property
    def left(self) -> float:
        """Seconds left, never below zero."""
        if self.stopped:
            return 0.0
        own = max(0.0, self._seconds - self.elapsed)
        return own if self._whole is None else min(own, self._whole.left)

    def brief(self, seconds: float) -> float:
        """Seconds that one step may take at most: `seconds`, or what is left; where steps are counted, what is left."""
        return self.left if self.by_steps else min(seconds, self.left)

    @property
    def over(self) -> bool:
        return self.left <= 0.0
