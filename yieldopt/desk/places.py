"""Where a piece of the plan may lie, on every board: computed here, so that the page only looks whether a corner is inside.

A piece's corner may be anywhere in a board's span but in what is barred to it. What other pieces lie there is no matter: they
make way when the job is planned round the wish.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from pydantic import BaseModel

from yieldopt.lengths import Units, marked, to_number
from yieldopt.lumber import Board, Job, Part
from yieldopt.plan import Piece, Plan
from yieldopt.rules.boards import Hindrance, hindrance
from yieldopt.rules.clearance import Box, clear_of_blanks, clear_of_pieces
from yieldopt.rules.faces import in_layer, spoilt_by
from yieldopt.sizing import clear_ends, crook_loss, thickness_need, warp_loss

WORDS: dict[Hindrance, str] = {
    "species": "another species",
    "from": "the parts list names other boards for it",
    "sawn": "not sawn as the part asks",
}
# How finely a board's outline is followed, along the board.
STEP = Fraction(1, 4)


class Barred(BaseModel):
    """Corners from x0 to x1 and y0 to y1, these excluded, at which the piece would meet what it must not."""

    x0: float
    x1: float
    y0: float
    y1: float
    why: str


class Ground(BaseModel):
    """One board for one piece. `why`: it can't lie there at all. `spans`: from x on, the corner's least and greatest y; the
    last one ends at `end`, the corner's greatest x."""

    board: str
    why: str | None = None
    end: float = 0.0
    spans: list[tuple[float, float, float]] = []
    barred: list[Barred] = []


class Grounds(BaseModel):
    piece: str
    length: float
    width: float
    grounds: list[Ground]


class Asked(NamedTuple):
    job: Job
    part: Part
    piece: Piece


def grounds(job: Job, plan: Plan, name: str) -> Grounds | None:
    """For the piece of this name; None where the plan has none."""
    piece = next((p for _, p in plan.pieces() if p.piece == name), None)
    if piece is None:
        return None
    asked = Asked(job, job.part_named[piece.part], piece)
    found = [_ground(asked, board) for board in job.boards if board.name not in job.leave]
    length, width = (float(to_number(v, job.units)) for v in (piece.length, piece.width))
    return Grounds(piece=name, length=length, width=width, grounds=found)


def _ground(asked: Asked, board: Board) -> Ground:
    job, part, piece = asked
    u = job.units
    hindered = hindrance(part, board)
    if hindered is not None:
        return Ground(board=board.name, why=WORDS[hindered])
    x0, x1 = clear_ends(board, job.shop)
    end = x1 - piece.length
    thick = thickness_need((piece.thickness,), board.stress == "tested", job.shop) + warp_loss(board, piece.length, piece.width)
    if board.thickness < thick:
        return Ground(board=board.name, why=f"too thin: {marked(board.thickness, u)}, {marked(thick, u)} needed")
    spans = _spans(board, x0, end, piece)
    if end < x0 or not any(low <= high for _, low, high in spans):
        return Ground(board=board.name, why="too short or too narrow")
    return Ground(
        board=board.name,
        end=float(to_number(end, u)),
        spans=[(_n(x, u), _n(low, u), _n(high, u)) for x, low, high in spans],
        barred=_barred(asked, board),
    )


def _spans(board: Board, x0: Fraction, end: Fraction, piece: Piece) -> list[tuple[Fraction, Fraction, Fraction]]:
    crook = crook_loss(board, piece.length)
    found = []
    x = x0
    while x <= end:
        # Along an outline the corner may be anywhere up to the next step.
        near, far = board.channel(x, min(x + STEP, end) + piece.length if board.edges else x + piece.length)
        found.append((x, near, far - crook - piece.width))
        x = x + STEP if board.edges else end + 1
    return found


def _barred(asked: Asked, board: Board) -> list[Barred]:
    job, part, piece = asked
    found = []
    for d in board.defects:
        boxes = [clear_of_blanks(d, job.shop)]
        if in_layer(d, piece.layer, piece.layers) and spoilt_by(part, [d]):
            boxes.append(clear_of_pieces(d, job.shop))
        found += [_corners(box, piece, f"too near the {d.kind}", job.units) for box in boxes if box is not None]
    return found


def _corners(box: Box, piece: Piece, why: str, u: Units) -> Barred:
    (x0, x1), (y0, y1) = box
    return Barred(x0=_n(x0 - piece.length, u), x1=_n(x1, u), y0=_n(y0 - piece.width, u), y1=_n(y1, u), why=why)


def _n(length: Fraction, u: Units) -> float:
    return float(to_number(length, u))
