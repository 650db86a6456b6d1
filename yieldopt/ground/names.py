"""Names of pieces: PART#k, and PART#k/j for stave j; the part's own name may hold any of these signs."""

from __future__ import annotations


def part_of(piece: str) -> str:
    """`rail#2` -> `rail`, `top#1/3` -> `top`."""
    return piece[: piece.rfind("#")]


def whole_of(piece: str) -> str:
    """`top#1/3` -> `top#1`; a piece that is no stave is itself."""
    slash = piece.find("/", piece.rfind("#"))
    return piece if slash < 0 else piece[:slash]


def stave_of(piece: str) -> int:
    """`top#1/3` -> 3."""
    return int(piece[len(whole_of(piece)) + 1 :])


def lettered(n: int) -> str:
    """1 -> a, ... 26 -> z, 27 -> aa, ...: the n-th blank of a board is BOARD-letter."""
    out = ""
    while n:
        n, rest = divmod(n - 1, 26)
        out = chr(ord("a") + rest) + out
    return out
