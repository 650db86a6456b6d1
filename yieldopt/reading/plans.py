"""A plan's file as commands read it."""

from __future__ import annotations

from pathlib import Path

from yieldopt.ground.errors import UsageError
from yieldopt.ground.files import finish_writing
from yieldopt.records.planfile import loads
from yieldopt.wood.plan import Plan


def read_plan(path: Path) -> tuple[Plan, str]:
    """The plan in a `plan.json`, and its text. A write of its folder that a crash broke off is finished first.

    Raises `UsageError` naming the file where it holds no plan, `OSError` where it can't be read.
    """
    finish_writing(path.parent)
    try:
        text = path.read_text(encoding="utf-8-sig")
        return loads(text), text
    except (UnicodeDecodeError, OverflowError) as error:
        raise UsageError(f"{path}: the plan can't be read: {error}") from error
    except UsageError as error:
        raise UsageError(f"{path}: {error}") from error
