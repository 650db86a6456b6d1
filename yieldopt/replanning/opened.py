"""Something came up on a face that the resaw cut opened: which pieces of the two layers beside it can't be used."""

from __future__ import annotations

from dataclasses import dataclass, field

from yieldopt.records.sections import Patch
from yieldopt.replanning.bench import Bench
from yieldopt.replanning.hits import marred_faces
from yieldopt.replanning.wood import overlap
from yieldopt.rules.clearance import keep_clear
from yieldopt.rules.faces import may_turn, minds
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Piece, Show


@dataclass
class Opened:
    """What follows: the resaw cuts are made; pieces spoiled and why, pieces that show their other face, finished ones hit."""

    cuts: frozenset[int]
    spoiled: dict[str, str] = field(default_factory=dict)
    shows: dict[str, Show] = field(default_factory=dict)
    hit_done: dict[str, str] = field(default_factory=dict)


def opened(job: Job, bench: Bench | None, place: Patch, kind: str, after: int, only: str | None) -> Opened | str:
    """Judge a defect of `kind` at `place` on the face between layers `after` and `after` + 1 of the blank there; of the
    piece `only` if one is named. A text says what would have been right."""
    blanks = [k for k in bench.plan.blanks if k.layers > after >= 1 and overlap(k, place)] if bench else []
    if bench is None or not blanks:
        return f"a place in a blank that is resawn after layer {after}"
    names = {k.blank for k in blanks}
    change = Opened(frozenset(c.order for c in bench.plan.cuts if c.blank in names and c.stage == "resaw"))
    along, across = keep_clear(kind, job.shop)
    for p in bench.plan.pieces:
        beside = p.blank in names and p.layer in (after, after + 1) and only in (None, p.piece)
        if beside and p.part in job.part_named and overlap(p, place, along, across):
            _judge(job, bench, p, kind, f"{kind} after layer {after}", change)
    return change


def _judge(job: Job, bench: Bench, p: Piece, kind: str, why: str, change: Opened) -> None:
    part = job.part_named[p.part]
    if not minds(part, kind):
        return
    other: Show | None = "A" if p.layer == 1 else "B" if p.layer == p.layers else None
    either = may_turn(part, kind) and part.match_kind != "book"
    if either and other is not None and other not in marred_faces(job, bench.board, p):
        change.shows[p.piece] = other
        return
    if p.state == "done":
        change.hit_done[p.piece] = why
    else:
        change.spoiled[p.piece] = why
