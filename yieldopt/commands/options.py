"""Options that several commands have: how they are read, and what is said of one that can't be taken."""

from __future__ import annotations

from typing import TYPE_CHECKING

from yieldopt.ground.errors import UsageError

if TYPE_CHECKING:
    import argparse

    from yieldopt.ground.deadline import Deadline

DAY = 86_400.0
# Least seconds that are planned, whatever loading and reading took.
LEAST = 0.1


def checked_seconds(seconds: float) -> float:
    """Raises `UsageError` for no time at all, and for more than a day."""
    if not 0 < seconds <= DAY:
        raise UsageError(f"--seconds: found {seconds:g}, expected a time above 0 and up to a day")
    return seconds


def at_least(option: str, value: int | None, least: int) -> int | None:
    """Raises `UsageError` for less; None where the option was not given."""
    if value is not None and value < least:
        raise UsageError(f"{option}: found {value}, expected {least} or more")
    return value


def command_clock(args: argparse.Namespace, seconds: float, spent: float = 0.0) -> Deadline:
    """The whole command's time: what starting took counts, and what was `spent` since."""
    from yieldopt.ground.deadline import Deadline

    return Deadline(max(LEAST, seconds - getattr(args, "unseen", 0.0) - spent))
