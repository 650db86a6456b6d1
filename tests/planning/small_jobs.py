"""Boards, parts and jobs in one line each, with usual values."""

from __future__ import annotations

from fractions import Fraction as F

from yieldopt.wood.lumber import Board, Job, Part


def board(name: str = "B", length: int = 60, width: F | int = 7, quarters: int = 4, cost: int = 20, **more: object) -> Board:
    nominal = F(quarters, 4)
    found = {"species": "oak", "thickness": nominal, "cost": F(cost), **more}
    return Board(name, quarters=f"{quarters}/4", nominal=nominal, length=F(length), width=F(width), **found)  # type: ignore[arg-type]


def part(name: str = "rail", qty: int = 1, width: F | int = 2, length: F | int = 20, **more: object) -> Part:
    found = {"species": "oak", "thickness": F(3, 4), **more}
    return Part(name, qty, width=F(width), length=F(length), **found)  # type: ignore[arg-type]


def job(parts: list[Part], boards: list[Board], **more: object) -> Job:
    found = {"name": "small", "units": "in", **more}
    return Job(parts=tuple(parts), boards=tuple(boards), **found)  # type: ignore[arg-type]
