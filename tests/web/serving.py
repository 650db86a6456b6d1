"""`yieldopt serve` in processes of their own, asked over HTTP as a phone asks."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import uuid
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import httpx

from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job
from yieldopt.records.history import recorded
from yieldopt.wood.lumber import Board, Job, Part

MARK = {"x-yieldopt": "1"}
# Eight shelves on four boards: some thirty cuts, planned in a moment.
SHELVES = Job(
    "shelves",
    "in",
    (Part("shelf", 8, "ash", F(3, 4), F(5), F(20)),),
    tuple(Board(f"A{n}", "ash", "4/4", F(1), F(60), F(6), F(1), cost=F(20)) for n in range(1, 5)),
)


class Server:
    """One server; `url` is where it is."""

    def __init__(self, rack: Path, *options: str, **more: Any) -> None:
        command = [sys.executable, "-m", "yieldopt", "serve", "--rack", str(rack), "--port", "0", *options]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **more)
        assert self.process.stdout is not None
        self.lines: list[str] = []
        for line in self.process.stdout:
            self.lines.append(line.strip())
            if "The rack is at" in line:
                break
        found = [line.removeprefix("The rack is at ") for line in self.lines if line.startswith("The rack is at")]
        assert found, self.lines
        self.url = found[0]

    def client(self, address: str | None = None) -> httpx.Client:
        """Asks from `address` of this machine, if one is given."""
        transport = httpx.HTTPTransport(local_address=address, verify=False)
        return httpx.Client(base_url=self.url, headers=MARK, timeout=60, transport=transport)

    def kill(self) -> None:
        """As a power cut ends it."""
        os.kill(self.process.pid, signal.SIGKILL)
        self.process.wait(20)

    def stop(self) -> list[str]:
        """Stop it; what it has printed."""
        if self.process.poll() is None:
            self.process.terminate()
        rest, _ = self.process.communicate(timeout=40)
        return [*self.lines, *rest.splitlines()]


def shelves(folder: Path) -> Path:
    """A folder with the plan of the shelves."""
    plan = recorded(replace(plan_job(SHELVES, seconds=1).plan, revision=1), (), ["planned"], "Ada", "2026-01-01T10:00:00+00:00")
    write_all_atomically(folder, plan_files(SHELVES, plan))
    return folder


def tick_of(plan: dict[str, Any], **what: Any) -> dict[str, Any]:
    """A tick of the plan as the page shows it."""
    return {"key": str(uuid.uuid4()), "plan": plan["plan"], "was": "planned", "state": "done", **what}
