"""Processes that use a rack and may be killed; started from a fork server that has everything imported, so that a run costs
milliseconds and starts from a clean process."""

from __future__ import annotations

import multiprocessing
import os
import random
import signal
import time
from multiprocessing import forkserver
from multiprocessing.context import ForkServerProcess
from multiprocessing.synchronize import Barrier
from pathlib import Path

CONTEXT = multiprocessing.get_context("forkserver")
# Set in the environment of the fork server and of what it forks.
IN_SERVER = "YIELDOPT_TESTS_FORK_SERVER"


def _start_server() -> None:
    """Start the fork server with everything imported; it finds these modules by the path variable alone (Python 3.11)."""
    old = os.environ.get("PYTHONPATH")
    os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, [str(Path(__file__).parent), str(Path(__file__).parent.parent), old]))
    CONTEXT.set_forkserver_preload(
        ["workers", "making", "yieldopt.rack.door.facade", "sqlalchemy.dialects.sqlite", "alembic.command"]
    )
    os.environ[IN_SERVER] = "1"
    try:
        forkserver.ensure_running()
    finally:
        del os.environ[IN_SERVER]
    if old is None:
        del os.environ["PYTHONPATH"]
    else:
        os.environ["PYTHONPATH"] = old


def log_for_ever(where: str, prefix: str, confirmed: str) -> None:
    """Log one board after the other; each name is written to `confirmed`, unbuffered, only after `log` has returned."""
    from making import KNOT, entry

    from yieldopt.rack.door.facade import Rack

    handle = os.open(confirmed, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    with Rack.open(where, create=True) as rack:
        for n in range(10_000):
            name = f"{prefix}-{n}"
            rack.log(entry(name, defects=(KNOT,) * (n % 5), remarks="x" * (n * 131 % 4000)))
            os.write(handle, f"{name}\n".encode())


def log_some(where: str, prefix: str, count: int, start: Barrier) -> None:
    """Log `count` boards once everybody is ready; each twice under one key, as a phone with a bad line would."""
    from making import entry

    from yieldopt.rack.door.facade import Rack

    start.wait()
    with Rack.open(where, create=True) as rack:
        for n in range(count):
            mine = entry(f"{prefix}-{n}")
            for _ in range(2):
                rack.log(mine, key=mine.name)


def kill_at_random(where: str, prefix: str, confirmed: Path, rng: random.Random) -> list[str]:
    """Start a logger, kill -9 it after a random time; the names that it was told are stored."""
    process: ForkServerProcess = CONTEXT.Process(target=log_for_ever, args=(where, prefix, str(confirmed)))
    process.start()
    # After so many boards and a moment more, wherever in its work the logger then is; on a slow machine too.
    wanted = rng.randint(0, 8)
    patience = time.monotonic() + 60
    while (confirmed.read_bytes().count(b"\n") if confirmed.exists() else 0) < wanted and time.monotonic() < patience:
        time.sleep(0.001)
    time.sleep(rng.uniform(0.0, 0.02))
    assert process.pid is not None
    os.kill(process.pid, signal.SIGKILL)
    process.join()
    return confirmed.read_text().split() if confirmed.exists() else []


# The server imports this module too, to have it ready: it must not start a server of its own, and so on without end.
if os.environ.get(IN_SERVER) is None:
    _start_server()
