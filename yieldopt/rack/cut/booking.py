"""A board booked as cut: parts taken, kept offcuts as boards of their own, waste, money. Works out; `facade` stores.

Volumes are cubic inches. A board counts at its nominal thickness; a kept offcut likewise, but milled wood at its layer's
thickness; parts at their finished size where the job's parts are known, else at the size they were cut to.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from yieldopt.rack.board.cutout import Cutout, points_inside, take
from yieldopt.rack.board.errors import Refused
from yieldopt.rack.board.record import Origin, RackBoard
from yieldopt.wood.lumber import NO_NOTES, Board, Part
from yieldopt.wood.plan import BoardPlan, Offcut, Piece, Plan


@dataclass(frozen=True, slots=True)
class Measured:
    """What an offcut turned out to be when it was measured; None: as planned. Lengths in inches."""

    length: Fraction | None = None
    width: Fraction | None = None
    thickness: Fraction | None = None


@dataclass(frozen=True)
class Corrections:
    """Where the bench departed from the plan."""

    # Offcut's name in the plan -> measured sizes.
    measured: Mapping[str, Measured] = field(default_factory=dict)
    # Offcut's name in the plan -> the name chalked on it.
    names: Mapping[str, str] = field(default_factory=dict)
    # Offcuts that the plan keeps and the bench did not.
    lost: frozenset[str] = frozenset()
    # Pieces that were cut and spoiled: their wood is spent but no part came of it.
    spoiled: frozenset[str] = frozenset()
    # Where the kept offcuts were put; "" leaves it open.
    place: str = ""


@dataclass(frozen=True, slots=True)
class TakenPiece:
    """One piece that the board gave. `kind`: "part" or "spoiled"."""

    piece: str
    part: str
    kind: str
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    thickness: Fraction
    layer: int


@dataclass(frozen=True, slots=True)
class Cutting:
    """What one board came to. Volumes in cubic inches, money in the rack's currency, all exact."""

    board: str
    job: str
    bought: Fraction
    kept: Fraction
    parts: Fraction
    cost: Fraction
    credit: Fraction
    taken: tuple[TakenPiece, ...]
    offcuts: tuple[RackBoard, ...]

    @property
    def waste(self) -> Fraction:
        """Wood that is neither part nor kept: kerfs, trims, shavings, spoiled pieces."""
        return self.bought - self.kept - self.parts


def check_corrections(plan: Plan, boards: list[BoardPlan], fix: Corrections) -> None:
    """Raise `Refused` where a correction names an offcut or a piece that is not in the boards booked."""
    offcuts = {o.offcut for b in boards for o in b.offcuts if o.kept}
    pieces = {p.piece for b in boards for p in b.pieces}
    strange = [n for n in (*fix.measured, *fix.names, *sorted(fix.lost)) if n not in offcuts]
    strange += [n for n in sorted(fix.spoiled) if n not in pieces]
    if strange:
        raise Refused(f"the plan of {plan.job} has no such offcut or piece on these boards: {', '.join(dict.fromkeys(strange))}")


def work_out(
    record: RackBoard, planned: BoardPlan, job: str, parts: Mapping[str, Part], fix: Corrections, edge: Fraction = Fraction(0)
) -> Cutting:
    """What cutting `record` as planned comes to. `edge` is the job's allowance on each edge of a stave.

    Raises `Refused` where the plan does not fit the board.
    """
    board = record.board
    kept = [o for o in planned.offcuts if o.kept and o.offcut not in fix.lost]
    cutouts = {o.offcut: _cutout(o, planned, fix.measured.get(o.offcut, Measured())) for o in kept}
    weights = {name: _volume(c, board.nominal) for name, c in cutouts.items()}
    planned_weight = sum(
        (_volume(_cutout(o, planned, Measured()), board.nominal) for o in planned.offcuts if o.kept), Fraction(0)
    )
    # The plan's credit, shared by volume: a lost or shorter offcut brings less.
    credit = {name: planned.credit * w / planned_weight for name, w in weights.items()} if planned_weight else {}
    offcuts = tuple(_offcut(record, c, name, credit.get(name, Fraction(0)), fix) for name, c in cutouts.items())
    gone = {s.piece for s in planned.spoiled} | fix.spoiled
    taken = tuple(
        TakenPiece(p.piece, p.part, "spoiled" if p.piece in gone else "part", p.x, p.y, p.length, p.width, p.thickness, p.layer)
        for p in planned.pieces
    ) + tuple(
        TakenPiece(p.piece, p.piece.split("#")[0], "spoiled", p.x, p.y, p.length, p.width, board.nominal / p.layers, p.layer)
        for p in planned.spoiled
        if p.piece not in {q.piece for q in planned.pieces}
    )
    good = sum((_finished(p, parts.get(p.part), edge) for p in planned.pieces if p.piece not in gone), Fraction(0))
    return Cutting(
        record.id,
        job,
        board.area * board.nominal,
        sum(weights.values(), Fraction(0)),
        good,
        planned.cost,
        sum(credit.values(), Fraction(0)),
        taken,
        offcuts,
    )


def _cutout(o: Offcut, planned: BoardPlan, measured: Measured) -> Cutout:
    """The rectangle an offcut is; wood that lies inside a blank has been milled to its layer's thickness."""
    milled = None
    for blank in planned.blanks:
        inside = (
            blank.x <= o.x
            and o.x + o.length <= blank.x + blank.length
            and blank.y <= o.y
            and o.y + o.width <= blank.y + blank.width
        )
        if inside and o.layer <= len(blank.thicknesses):
            milled = blank.thicknesses[o.layer - 1]
    return Cutout(o.x, o.y, measured.length or o.length, measured.width or o.width, o.layer, o.layers, milled)


def _volume(c: Cutout, nominal: Fraction) -> Fraction:
    return c.length * c.width * (nominal if c.milled is None else c.milled)


def _offcut(parent: RackBoard, c: Cutout, name: str, credit: Fraction, fix: Corrections) -> RackBoard:
    # A measured length may exceed the planned one by what the saw left, up to the parent's own end.
    fitting = replace(c, length=min(c.length, parent.board.length - c.x)) if name in fix.measured else c
    board = take(parent, fitting, fix.names.get(name, name))
    measured = fix.measured.get(name, Measured())
    board = replace(
        board,
        cost=credit,
        price_bf=None,
        price_m3=None,
        notes=NO_NOTES,
        length=measured.length or board.length,
        width=measured.width or board.width,
        thickness=measured.thickness or board.thickness,
    )
    return RackBoard(
        str(uuid.uuid4()),
        board,
        dealer=parent.dealer,
        place=fix.place,
        moisture=parent.moisture,
        thickness_points=points_inside(parent, fitting),
        origin=Origin(parent.id, c.x, c.y, c.layer, c.layers),
    )


def _finished(p: Piece, part: Part | None, edge: Fraction) -> Fraction:
    """Finished volume of a piece; a stave counts at its net width. Without the job's parts: the size it was cut to."""
    if part is None:
        return p.length * p.width * p.thickness
    width = part.width if p.stave is None else min(p.width - 2 * edge, part.width)
    return part.length * width * part.thickness


# Note on a defect that came to light while the board was cut.
FOUND = "found"


def with_found(record: RackBoard, seen: Board | None) -> RackBoard:
    """The record with the defects that the job knows of by now and the rack does not; those that came to light, and are not
    wood measured away, are marked so."""
    known = record.board.defects
    new = [d for d in seen.defects if d not in known] if seen is not None else []
    if not new:
        return record
    marked = (d if d.notes.get("why") else replace(d, notes={**d.notes, FOUND: "while cutting"}) for d in new)
    return replace(record, board=replace(record.board, defects=(*known, *marked)))


def parent_after(record: RackBoard, job: str) -> RackBoard:
    """The parent once it is cut."""
    return replace(record, state="cut", why=f"cut for {job}")
