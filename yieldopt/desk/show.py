"""Boards and plans as the page draws them: figures in the job's units as floats, words as the sheets say them."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from pydantic import BaseModel

from yieldopt.desk.photos import address
from yieldopt.ground.lengths import Units, as_typed, marked, to_number
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import BoardPlan, Cut, Piece, Placed, Plan

FACES = ("A", "B")


class Spot(BaseModel):
    """A rectangle on a board, from its datum end and near edge."""

    x: float
    y: float
    length: float
    width: float


class Flaw(Spot):
    kind: str
    face: str


class Wood(BaseModel):
    """A board: its outline (x, near, far), its defects, and words about it."""

    name: str
    species: str
    quarters: str
    size: str
    place: str
    price: float
    length: float
    low: float
    high: float
    outline: list[tuple[float, float, float]]
    flaws: list[Flaw]
    # By face: what its cell says of a photo, and the address of that drawn straight.
    fits: dict[str, str]
    photos: dict[str, str]
    stress: str
    sawn: str


class Laid(Spot):
    """A piece: its part, the blank it is in, its set (a matching group's or glued-up piece's), which layer of how many."""

    piece: str
    part: str
    blank: str
    layer: int
    layers: int
    set: str | None
    size: str
    thickness: str
    state: str
    # The row of the table of wishes that keeps it where it lies.
    wish: dict[str, str]


class Sawn(BaseModel):
    """A cut in its order, in words; a rough one with its line on the board, from x0, y0 to x1, y1."""

    order: int
    words: str
    state: str
    line: tuple[float, float, float, float] | None


class Sheet(BaseModel):
    """What is cut from a board."""

    board: str
    cuts: list[Sawn]
    blanks: list[Spot]
    pieces: list[Laid]
    offcuts: list[Spot]


class Missing(BaseModel):
    part: str
    qty: int
    why: str


class Shown(BaseModel):
    """A plan; money in the job's own."""

    revision: int
    cost: float
    bound: float | None
    gap: float | None
    yielded: float
    sheets: list[Sheet]
    missing: list[Missing]


def woods(job: Job) -> list[Wood]:
    """Every board of the job."""
    return [_wood(b, job.units) for b in job.boards]


def _wood(b: Board, units: Units) -> Wood:
    flaws = [Flaw(**_spot(d, units), kind=d.kind, face=d.seen_on) for d in b.defects]
    return Wood(
        name=b.name,
        species=b.species,
        quarters=b.quarters,
        size=f"{marked(b.length, units)} x {marked(b.greatest_width, units)}",
        place=b.notes.get("place", ""),
        price=float(b.price),
        length=_n(b.length, units),
        low=_n(min(p.near for p in b.outline), units),
        high=_n(max(p.far for p in b.outline), units),
        outline=[(_n(p.x, units), _n(p.near, units), _n(p.far, units)) for p in b.outline],
        flaws=flaws,
        fits={f: b.notes.get(f"photo_{f.lower()}", "") for f in FACES},
        photos={f: at for f in FACES if (at := address(b, f)) is not None},
        stress=b.stress,
        sawn=b.sawn,
    )


def shown(plan: Plan) -> Shown:
    """A plan that has passed the check."""
    t = plan.totals
    return Shown(
        revision=plan.revision,
        cost=t.net_cost,
        bound=t.bound,
        gap=t.gap,
        yielded=t.yield_,
        sheets=[_sheet(b, plan.units) for b in plan.boards],
        missing=[Missing(part=u.part, qty=u.qty, why=u.why) for u in plan.unplaced],
    )


def _sheet(b: BoardPlan, units: Units) -> Sheet:
    pieces = [
        Laid(
            **_spot(p, units),
            piece=p.piece,
            part=p.part,
            blank=p.blank,
            layer=p.layer,
            layers=p.layers,
            set=p.set,
            size=f"{marked(p.length, units)} x {marked(p.width, units)}",
            thickness=marked(p.thickness, units),
            state=p.state,
            wish=_wish(b.board, p, units),
        )
        for p in b.pieces
    ]
    kept = [o for o in b.offcuts if o.kept]
    cuts = [_sawn(c, units) for c in sorted(b.cuts, key=lambda c: c.order)]
    return Sheet(board=b.board, cuts=cuts, blanks=_spots(b.blanks, units), pieces=pieces, offcuts=_spots(kept, units))


def _sawn(c: Cut, units: Units) -> Sawn:
    inside = f" in {c.blank}" if c.blank else ""
    at, start, end = (_n(v, units) for v in (c.at, c.start, c.end))
    line = (at, start, at, end) if c.kind == "crosscut" else (start, at, end, at)
    return Sawn(
        order=c.order,
        words=f"{c.order}: {c.kind} at {marked(c.at, units)}{inside}",
        state=c.state,
        line=line if c.stage == "rough" else None,
    )


def _wish(board: str, p: Piece, units: Units) -> dict[str, str]:
    layer = {"layer": str(p.layer)} if p.layers > 1 else {}
    return {"piece": p.piece, "board": board, "x": as_typed(p.x, units), "y": as_typed(p.y, units), **layer}


def _spots(found: Sequence[Placed], units: Units) -> list[Spot]:
    return [Spot(**_spot(o, units)) for o in found]


def _spot(o: Placed, units: Units) -> dict[str, float]:
    return {k: _n(v, units) for k, v in (("x", o.x), ("y", o.y), ("length", o.length), ("width", o.width))}


def _n(length: Fraction, units: Units) -> float:
    return float(to_number(length, units))
