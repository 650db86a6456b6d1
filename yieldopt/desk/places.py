"""Where a piece of the plan may lie, on every board: computed here, so that the page only looks whether a corner is inside.

A piece's corner may be anywhere in a board's span but in what is barred to it. What other pieces lie there is no matter: they
make way when the job is planned round the wish.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from pydantic import BaseModel

from yieldopt.ground.lengths import Units, as_typed, marked, parse_length, to_number
from yieldopt.rules.boards import Hindrance, hindrance
from yieldopt.rules.clearance import Box, clear_of_blanks, clear_of_pieces
from yieldopt.rules.faces import in_layer, spoilt_by
from yieldopt.sizes.sizing import clear_ends, crook_loss, thickness_need, warp_loss
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.wood.plan import Piece, Placed, Plan

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
    """`pieces`: all that is carried, by name."""

    piece: str
    pieces: list[str]
    length: float
    width: float
    grounds: list[Ground]


class Carried(NamedTuple):
    """What is carried: pieces that keep their places to each other, and the rectangle round them."""

    job: Job
    pieces: tuple[Piece, ...]
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction

    @property
    def parts(self) -> tuple[Part, ...]:
        return tuple(dict.fromkeys(self.job.part_named[p.part] for p in self.pieces))


def _carried(job: Job, plan: Plan, name: str, whole: bool) -> Carried | None:
    """The piece of this name, with `whole` all that is in its blank; None where the plan has none."""
    found = next(((b, p) for b, p in plan.pieces() if p.piece == name), None)
    if found is None:
        return None
    pieces = tuple(p for p in found[0].pieces if p.blank == found[1].blank) if whole else (found[1],)
    x, y = min(p.x for p in pieces), min(p.y for p in pieces)
    return Carried(job, pieces, x, y, max(p.x + p.length for p in pieces) - x, max(p.y + p.width for p in pieces) - y)


def grounds(job: Job, plan: Plan, name: str, whole: bool = False) -> Grounds | None:
    """For the piece of this name, or with `whole` for all of its blank together; None where the plan has none."""
    carried = _carried(job, plan, name, whole)
    if carried is None:
        return None
    found = [_ground(carried, board) for board in job.boards if board.name not in job.leave]
    length, width = (_n(v, job.units) for v in (carried.length, carried.width))
    return Grounds(piece=name, pieces=[p.piece for p in carried.pieces], length=length, width=width, grounds=found)


def wishes(job: Job, plan: Plan, name: str, whole: bool, at: tuple[str, str, str]) -> list[dict[str, str]] | None:
    """Rows for `pins.csv` with the corner of what is carried on a board at x, y, as typed; None where the plan has no such piece.

    Raises `LengthError`.
    """
    carried = _carried(job, plan, name, whole)
    if carried is None:
        return None
    board, x, y = at[0], parse_length(at[1], job.units), parse_length(at[2], job.units)
    rows = []
    for p in carried.pieces:
        place = {"x": as_typed(x + p.x - carried.x, job.units), "y": as_typed(y + p.y - carried.y, job.units)}
        layer = {"layer": str(p.layer)} if p.layers > 1 else {}
        rows.append({"piece": p.piece, "board": board, **place, **layer})
    return rows


def _ground(carried: Carried, board: Board) -> Ground:
    job, u = carried.job, carried.job.units
    hindered = next((h for part in carried.parts if (h := hindrance(part, board)) is not None), None)
    if hindered is not None:
        return Ground(board=board.name, why=WORDS[hindered])
    x0, x1 = clear_ends(board, job.shop)
    end = x1 - carried.length
    thick = _thickness(carried, board)
    if board.thickness < thick:
        return Ground(board=board.name, why=f"too thin: {marked(board.thickness, u)}, {marked(thick, u)} needed")
    spans = _spans(board, x0, end, carried)
    if end < x0 or not any(low <= high for _, low, high in spans):
        return Ground(board=board.name, why="too short or too narrow")
    return Ground(
        board=board.name,
        end=float(to_number(end, u)),
        spans=[(_n(x, u), _n(low, u), _n(high, u)) for x, low, high in spans],
        barred=_barred(carried, board),
    )


def _thickness(carried: Carried, board: Board) -> Fraction:
    """What the board must have: for each layer that is carried its thickest piece."""
    layers = {p.layer: max(q.thickness for q in carried.pieces if q.layer == p.layer) for p in carried.pieces}
    need = thickness_need(tuple(layers.values()), board.stress == "tested", carried.job.shop)
    return need + warp_loss(board, carried.length, carried.width)


def _spans(board: Board, x0: Fraction, end: Fraction, piece: Carried) -> list[tuple[Fraction, Fraction, Fraction]]:
    crook = crook_loss(board, piece.length)
    found = []
    x = x0
    while x <= end:
        # Along an outline the corner may be anywhere up to the next step.
        near, far = board.channel(x, min(x + STEP, end) + piece.length if board.edges else x + piece.length)
        found.append((x, near, far - crook - piece.width))
        x = x + STEP if board.edges else end + 1
    return found


def _barred(carried: Carried, board: Board) -> list[Barred]:
    job, found = carried.job, []
    for d in board.defects:
        why = f"too near the {d.kind}"
        thrown = clear_of_blanks(d, job.shop)
        if thrown is not None:
            found.append(_corners(thrown, carried, carried, why))
        for p in carried.pieces:
            if in_layer(d, p.layer, p.layers) and spoilt_by(job.part_named[p.part], [d]):
                found.append(_corners(clear_of_pieces(d, job.shop), p, carried, why))
    return list({(b.x0, b.x1, b.y0, b.y1): b for b in found}.values())


def _corners(box: Box, piece: Placed, carried: Carried, why: str) -> Barred:
    """Corners of what is carried at which this piece of it would meet the box."""
    (x0, x1), (y0, y1) = box
    u, dx, dy = carried.job.units, piece.x - carried.x, piece.y - carried.y
    return Barred(
        x0=_n(x0 - piece.length - dx, u), x1=_n(x1 - dx, u), y0=_n(y0 - piece.width - dy, u), y1=_n(y1 - dy, u), why=why
    )


def _n(length: Fraction, u: Units) -> float:
    return float(to_number(length, u))
