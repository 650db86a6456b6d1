"""Which pieces, blanks and kept offcuts a defect that came to light spoils where they lie."""

from __future__ import annotations

from yieldopt.replanning.wood import EPS
from yieldopt.rules.faces import Side, faults_on, in_layer, met, spoilt_by, thrown
from yieldopt.rules.offcuts import unsound_in
from yieldopt.wood.lumber import Board, Defect, Job, Part
from yieldopt.wood.plan import Blank, BoardPlan, Offcut, Piece, Show


def spoils(job: Job, board: Board, piece: Piece) -> list[Defect]:
    """The defects for which the piece can't be what its part asks for; empty where it can."""
    part = job.part_named[piece.part]
    return spoilt_by(part, list(met(part, board.defects, piece, job.shop, EPS)))


def marred_faces(job: Job, board: Board, piece: Piece) -> set[Side]:
    """The faces of the piece that sound defects are on."""
    return faults_on(job.part_named[piece.part], board.defects, piece, job.shop, EPS)


def show_face(job: Job, board: Board, piece: Piece, part: Part) -> Show | None:
    """The face that a part with one clear face shows now; what it showed before where that is still clear."""
    if part.faces != 1 or part.match_kind == "book":
        return piece.show
    spoilt = marred_faces(job, board, piece)
    opened = {"A": piece.layer > 1, "B": piece.layer < piece.layers}
    clear: list[Show] = [f for f in ("A", "B") if f not in spoilt]
    if piece.show in clear or (piece.show == "sawn" and any(opened[f] for f in clear)):
        return piece.show
    return clear[0] if clear else piece.show


def thrown_in(job: Job, board: Board, blank: Blank, entry: BoardPlan) -> bool:
    """May the machines throw something in the blank? One that holds a finished piece has been through them."""
    done = any(p.state == "done" for p in entry.pieces if p.blank == blank.blank)
    return not done and thrown(board.defects, blank, job.shop, EPS)


def spoils_offcut(board: Board, offcut: Offcut) -> bool:
    """Does an unsound defect lie in a kept offcut?"""
    return unsound_in((d for d in board.defects if in_layer(d, offcut.layer, offcut.layers)), offcut, EPS) is not None
