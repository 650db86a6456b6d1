"""A number and what it counts, in words: "1 board", "3 boards"."""

from __future__ import annotations


def counted(count: int, noun: str, ending: str = "s") -> str:
    """`noun` gets `ending` unless there is just one."""
    return f"{count} {noun}{'' if count == 1 else ending}"
