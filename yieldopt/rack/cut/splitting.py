"""One board sawn into two boards that stay on the rack."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from yieldopt.rack.board.cutout import Cutout, points_inside, take
from yieldopt.rack.board.errors import Refused
from yieldopt.rack.board.record import Origin, RackBoard


@dataclass(frozen=True, slots=True)
class SplitCut:
    """A saw cut all across (`crosscut`, `at` is x) or all along (`rip`, `at` is y) a board; `at` is the kerf's side nearer
    the datum end or the near edge. Inches."""

    kind: Literal["crosscut", "rip"]
    at: Fraction
    kerf: Fraction


def saw(parent: RackBoard, cut: SplitCut, names: tuple[str, str]) -> tuple[RackBoard, RackBoard]:
    """The two boards: datum or near side first. The price is shared by area. Raises `Refused` if one of them would be nothing."""
    board = parent.board
    lowest = min(p.near for p in board.outline)
    highest = max(p.far for p in board.outline)
    after = cut.at + cut.kerf
    within = (cut.at > 0 and after < board.length) if cut.kind == "crosscut" else (lowest < cut.at and after < highest)
    if not within:
        size = f"0 to {board.length}" if cut.kind == "crosscut" else f"{lowest} to {highest}"
        raise Refused(f"a {cut.kind} at {cut.at} in leaves nothing on one side of {board.name}, which reaches from {size} in")
    if cut.kind == "crosscut":
        first = Cutout(Fraction(0), lowest, cut.at, highest - lowest)
        second = Cutout(after, lowest, board.length - after, highest - lowest)
    else:
        first = Cutout(Fraction(0), lowest, board.length, cut.at - lowest)
        second = Cutout(Fraction(0), after, board.length, highest - after)
    pieces = [_piece(parent, c, name) for c, name in zip((first, second), names, strict=True)]
    area = sum(p.board.area for p in pieces)
    if board.cost is not None:
        pieces = [replace(p, board=replace(p.board, cost=board.cost * p.board.area / area)) for p in pieces]
    return pieces[0], pieces[1]


def _piece(parent: RackBoard, c: Cutout, name: str) -> RackBoard:
    board = replace(take(parent, c, name), notes=parent.board.notes)
    return replace(
        parent,
        id=str(uuid.uuid4()),
        board=board,
        grade="",
        photos=(),
        thickness_points=points_inside(parent, c),
        origin=Origin(parent.id, c.x, c.y),
        why="",
    )
