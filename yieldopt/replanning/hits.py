"""Which pieces, blanks and kept offcuts a defect that came to light spoils where they lie."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from yieldopt.lumber import SOUND_KINDS, THROWN_KINDS, Board, Defect, Job, Part
from yieldopt.plan import Blank, BoardPlan, Offcut, Piece, Show
from yieldopt.replanning.wood import overlap
from yieldopt.sizing import keep_clear, thrown_margin


def _seen_in(d: Defect, layer: int, layers: int) -> bool:
    return d.seen_on == "both" or layer == (1 if d.seen_on == "A" else layers)


def met(job: Job, board: Board, piece: Piece) -> Iterator[Defect]:
    """Defects in the piece that its part does not allow, with the wood kept clear beside them."""
    part = job.part_named[piece.part]
    for d in board.defects:
        along, across = keep_clear(d.kind, job.shop)
        if d.kind not in part.allow and _seen_in(d, piece.layer, piece.layers) and overlap(piece, d, along, across):
            yield d


def faulty(defects: list[Defect]) -> set[str]:
    """Faces that some of the defects are on."""
    return {face for d in defects for face in (("A", "B") if d.seen_on == "both" else (d.seen_on,))}


def spoils(job: Job, board: Board, piece: Piece) -> list[Defect]:
    """The defects for which the piece can't be what its part asks for; empty where it can."""
    part = job.part_named[piece.part]
    defects = list(met(job, board, piece))
    sound = [d for d in defects if d.kind in SOUND_KINDS]
    unsound = [d for d in defects if d.kind not in SOUND_KINDS]
    return unsound + (sound if 2 - len(faulty(sound)) < part.faces else [])


def show_face(job: Job, board: Board, piece: Piece, part: Part) -> Show | None:
    """The face that a part with one clear face shows now; what it showed before where that is still clear."""
    if part.faces != 1 or part.match_kind == "book":
        return piece.show
    spoilt = faulty([d for d in met(job, board, piece) if d.kind in SOUND_KINDS])
    opened = {"A": piece.layer > 1, "B": piece.layer < piece.layers}
    clear: list[Show] = [f for f in ("A", "B") if f not in spoilt]
    if piece.show in clear or (piece.show == "sawn" and any(opened[f] for f in clear)):
        return piece.show
    return clear[0] if clear else piece.show


def thrown_in(job: Job, board: Board, blank: Blank, entry: BoardPlan) -> bool:
    """May the machines throw something in the blank? One that holds a finished piece has been through them."""
    if any(p.state == "done" for p in entry.pieces if p.blank == blank.blank):
        return False
    return any(
        d.kind in THROWN_KINDS and overlap(blank, d, thrown_margin(d.kind, job.shop), Fraction(0)) for d in board.defects
    )


def spoils_offcut(board: Board, offcut: Offcut) -> bool:
    """Does an unsound defect lie in a kept offcut?"""
    return any(
        d.kind not in SOUND_KINDS and _seen_in(d, offcut.layer, offcut.layers) and overlap(d, offcut) for d in board.defects
    )
