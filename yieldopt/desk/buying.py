"""What to buy, asked from the desk: the study that `yieldopt source` makes, for as long as the person will wait."""

from __future__ import annotations

from concurrent.futures import Future
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from yieldopt.ground.errors import UsageError, YieldoptError
from yieldopt.web.searcher import Searcher

# Where in the job's folder the study lies, and its files that the page shows.
OUT = "source"
TEXT = "source.txt"
CHARTS = ("ways.svg", "chance.svg")


@dataclass
class Errand:
    """The newest one of this run."""

    state: Literal["none", "working", "done", "failed"] = "none"
    error: str | None = None


class Buyer:
    """One study at a time, in a process of its own."""

    def __init__(self) -> None:
        self._searcher = Searcher()
        self.now = Errand()

    def begin(self, folder: Path, seconds: float) -> None:
        """Errand the job in the folder. Raises `UsageError` while one is under way."""
        if self.now.state == "working":
            raise UsageError("what to buy is being worked out already")
        study = self.now = Errand("working")
        self._searcher.submit(worked_out, folder, seconds).add_done_callback(lambda done: _end(study, done))

    def close(self) -> None:
        """End the process."""
        self._searcher.close()


def _end(study: Errand, done: Future[None]) -> None:
    error = None if done.cancelled() else done.exception()
    if error is None and not done.cancelled():
        study.state = "done"
        return
    study.error = str(error) if isinstance(error, YieldoptError) else "the study broke off; nothing was written"
    study.state = "failed"


def worked_out(folder: Path, seconds: float) -> None:
    """The work of a study: its files are written into the job's folder. Raises `UsageError`."""
    from yieldopt.ground.files import write_all_atomically
    from yieldopt.planning.warming import warm
    from yieldopt.reading import read_job
    from yieldopt.sourcing.asked import Asked
    from yieldopt.sourcing.study import study
    from yieldopt.sourcing.told.files import told_files

    try:
        warm()
        found = study(read_job(folder), Asked(seconds=seconds), lambda _line: None)
        write_all_atomically(folder / OUT, told_files(found))
    except YieldoptError as error:
        # Errors with more than words can't be sent from one process to another.
        raise UsageError(str(error)) from None
    except OSError as error:
        raise UsageError(f"the study can't be written: {error.strerror}: {error.filename}") from None


def told(folder: Path) -> tuple[str, list[str]]:
    """The newest study's text, and which charts it has; an empty text where there is none."""
    at = folder / OUT
    if not (at / TEXT).is_file():
        return "", []
    return (at / TEXT).read_text(encoding="utf-8"), [c for c in CHARTS if (at / c).is_file()]


def chart(folder: Path, name: str) -> bytes:
    """One of its charts. Raises `UsageError` where there is none."""
    if name not in CHARTS or not (folder / OUT / name).is_file():
        raise UsageError("there is no such chart")
    return (folder / OUT / name).read_bytes()
