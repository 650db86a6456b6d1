"""Plans side by side: what happens when a process of the pool is killed, or the step is stopped."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import UsageError
from yieldopt.workers.runner import Runner


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


def test_workers_end_with_a_command_that_was_killed() -> None:
    """Nothing else ends them: each would wait for work that never comes."""
    script = (
        "import os, time\n"
        "from yieldopt.workers.runner import Runner\n"
        "if __name__ == '__main__':\n"
        "    with Runner(workers=1) as runner:\n"
        "        print(runner._executor().submit(os.getpid).result(), flush=True)\n"
        "        time.sleep(600)\n"
    )
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    with subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True, env=env) as command:
        assert command.stdout is not None
        worker = int(command.stdout.readline())
        command.kill()
    end = time.monotonic() + 60
    while _runs(worker) and time.monotonic() < end:
        time.sleep(0.1)
    assert not _runs(worker)


def _runs(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    # One that has ended and that nobody has asked about yet is listed still.
    status = Path(f"/proc/{process}/stat")
    return not (status.exists() and status.read_text().rpartition(")")[2].split()[0] == "Z")
