"""Job folders (CSV, .xlsx, TOML) to a `Job`, and back: every mistake at once, or an exact job.

What reads whole folders is loaded only when it is asked for: the rack's quick commands need no more than how a cell is read.

Knows values, and no planner. Begin reading in `job.py`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from yieldopt.reading.job import job_name, read_boards, read_defects, read_job

__all__ = ["job_name", "read_boards", "read_defects", "read_job"]


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    import importlib

    return getattr(importlib.import_module(f"{__name__}.job"), name)
