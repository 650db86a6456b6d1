"""Plans side by side: what happens when a process of the pool is killed, or the step is stopped."""

from __future__ import annotations

import os
import time

import pytest

from yieldopt.deadline import Deadline
from yieldopt.errors import UsageError
from yieldopt.sourcing.runner import Runner


def double(n: int) -> int:
    """Twice `n`; a negative one kills its process, as the system does that runs out of memory."""
    if n < 0:
        os._exit(9)
    return 2 * n


def slow(n: int) -> int:
    time.sleep(20)
    return n


def test_a_killed_process_costs_only_what_it_was_at() -> None:
    with Runner(workers=1) as runner:
        found = dict(runner.run(double, ((n, n) for n in (1, -1, 3, 4)), Deadline(120), 0.0))
    assert found == {1: 2, 3: 6, 4: 8}


def test_a_pool_that_keeps_breaking_is_an_error() -> None:
    with Runner(workers=1) as runner, pytest.raises(UsageError, match="want of memory"):
        dict(runner.run(double, ((n, n) for n in range(-9, 0)), Deadline(120), 0.0))


def test_a_stop_does_not_wait() -> None:
    deadline = Deadline(120)
    began = time.monotonic()
    with Runner(workers=1) as runner:
        runner.start()
        found = []
        for key, _ in runner.run(double, ((n, n) for n in range(3)), deadline.part(60), 0.0):
            found.append(key)
            deadline.stop()
        assert found == [0]
        assert list(runner.run(slow, [(1, 1)], deadline, 0.0)) == []
    assert time.monotonic() - began < 60
