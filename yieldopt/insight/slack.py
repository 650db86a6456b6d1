"""How much each blank and piece has to spare, so that a surprise can be judged on the spot. All lengths `Fraction` inches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.insight.spare_room import spare_room
from yieldopt.sizes.glue_up import least_thicknesses
from yieldopt.sizes.sizing import rough_sizes, run_piece_length, stave_width_needed, thickness_need, warp_loss
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.wood.plan import Blank, BoardPlan, Piece, Plan

# Spare thickness below this is called out: the last pass of a planer, 1/32 in (common practice, no source).
AT_RISK = Fraction(1, 32)


@dataclass(frozen=True, slots=True)
class BlankSlack:
    """Thickness needed and there for one blank."""

    board: str
    blank: str
    # What the board measures, what flattening this blank takes of it, what its layers need.
    measured: Fraction
    warp: Fraction
    need: Fraction
    # True where the board is resawn and its stress was never tested.
    untested: bool

    @property
    def available(self) -> Fraction:
        return self.measured - self.warp

    @property
    def spare(self) -> Fraction:
        return self.available - self.need

    @property
    def at_risk(self) -> bool:
        """Whether it may come out thin: next to nothing to spare."""
        return self.spare < AT_RISK


@dataclass(frozen=True, slots=True)
class PieceSlack:
    """Rough size of one piece beyond what its part needs; `thickness` is its blank's."""

    piece: str
    board: str
    thickness: Fraction
    width: Fraction
    length: Fraction
    # Clear wood beside its blank and beyond its ends that nothing else takes: see `spare_room`.
    beside: Fraction = Fraction(0)
    beyond: Fraction = Fraction(0)

    @property
    def all_width(self) -> Fraction:
        """How much width may be lost before the part is."""
        return self.width + self.beside

    @property
    def all_length(self) -> Fraction:
        """How much length may be lost before the part is."""
        return self.length + self.beyond


def tightest(pieces: Iterable[PieceSlack], most: int) -> list[PieceSlack]:
    """The pieces with least to spare: in thickness first, which no layout can make up for."""
    return sorted(pieces, key=lambda p: (p.thickness, min(p.all_width, p.all_length), p.piece))[:most]


def blank_slack(board: Board, blank: Blank, pieces: Iterable[Piece], job: Job) -> BlankSlack:
    """Thickness to spare of a blank of `board`, by the rules of `sizing`. What is left on staves for flattening their panel
    counts as spare: it can be lost."""
    tested = board.stress == "tested"
    return BlankSlack(
        board.name,
        blank.blank,
        board.thickness,
        warp_loss(board, blank.length, blank.width),
        thickness_need(least_thicknesses(blank, pieces, job), tested, job.shop),
        blank.layers > 1 and not tested,
    )


def lies_across(part: Part, piece: Piece, job: Job) -> bool:
    """Whether a part of free grain was laid across the board: it then has room that way only."""
    ways = rough_sizes(part, job.shop)
    if len(ways) == 1:
        return False
    length, width = ways[0]
    return piece.length < length or piece.width < width


def run_places(bp: BoardPlan, job: Job) -> Mapping[str, tuple[bool, bool]]:
    """For each piece of a run: whether its datum end, its far end is an outer end of the run."""
    runs: dict[str, list[Piece]] = {}
    for piece in bp.pieces:
        part = job.part_named.get(piece.part)
        if part is not None and part.match_kind == "run" and piece.set:
            runs.setdefault(piece.set, []).append(piece)
    places = {}
    for members in runs.values():
        members.sort(key=lambda p: p.x)
        for i, piece in enumerate(members):
            places[piece.piece] = (i == 0, i == len(members) - 1)
    return places


def blank_slacks(job: Job, plan: Plan) -> tuple[BlankSlack, ...]:
    """What the thickness of every blank has to spare."""
    return tuple(blank_slack(job.board_named[bp.board], blank, bp.pieces, job) for bp in plan.boards for blank in bp.blanks)


def slacks(job: Job, plan: Plan) -> tuple[tuple[BlankSlack, ...], tuple[PieceSlack, ...]]:
    """What every blank and every piece has to spare. For staves the width is that of the whole glue-up."""
    glued: dict[str, Fraction] = {}
    for _, piece in plan.pieces():
        if piece.stave is not None and piece.set:
            glued[piece.set] = glued.get(piece.set, Fraction(0)) + piece.width - 2 * job.shop.allowances.edge
    blanks, pieces = blank_slacks(job, plan), []
    thickness = {b.blank: b.spare for b in blanks}
    for bp in plan.boards:
        places, room = run_places(bp, job), spare_room(job, bp)
        for piece in bp.pieces:
            part = job.part_named[piece.part]
            length, width = _needed(part, piece, places, job)
            spare_width = piece.width - width
            if piece.stave is not None and piece.set:
                spare_width = glued[piece.set] - stave_width_needed(part, job.shop)
            pieces.append(
                PieceSlack(piece.piece, bp.board, thickness[piece.blank], spare_width, piece.length - length, *room[piece.blank])
            )
    return blanks, tuple(pieces)


def _needed(part: Part, piece: Piece, places: Mapping[str, tuple[bool, bool]], job: Job) -> tuple[Fraction, Fraction]:
    ways = rough_sizes(part, job.shop)
    length, width = ways[1] if lies_across(part, piece, job) else ways[0]
    if piece.piece in places:
        length = run_piece_length(part, job.shop, *places[piece.piece])
    return length, width
