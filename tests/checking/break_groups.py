"""Ways to break rules 6xx: matching groups and pins."""

from __future__ import annotations

from dataclasses import replace

from breaking import (
    BIT,
    Broken,
    breaks,
    on_board,
    pieces,
    summed,
    with_piece,
)

from yieldopt.wood.lumber import Job, Pin
from yieldopt.wood.plan import Plan

# --- 6xx matching -------------------------------------------------------------------------------------------------


@breaks(601, 109, 111, 311, 603, 606, 609, 401, 816, 409)
def group_in_part(job: Job, plan: Plan) -> Broken:
    for kind in ("board", "run", "book", "slip"):
        for b, p, part in pieces(job, plan, kind):
            whole = sum(q.qty for q in job.parts if q.match == part.match)
            if whole > 1 and p.stave is None:
                listed = tuple(replace(k, pieces=tuple(n for n in k.pieces if n != p.piece)) for k in b.blanks)
                return job, summed(job, on_board(plan, b, pieces=tuple(q for q in b.pieces if q is not p), blanks=listed))
    return None


@breaks(602)
def two_boards(job: Job, plan: Plan) -> Broken:
    whole = [p for p in job.parts if p.match is None and not any(u.part == p.name for u in plan.unplaced)]
    homes = {p.name: {b.board for b, q, _ in pieces(job, plan) if q.part == p.name} for p in whole}
    for p in whole:
        for q in whole:
            if homes[p.name] != homes[q.name]:
                together = {p.name, q.name}
                parts = tuple(replace(r, match="both", match_kind="board") if r.name in together else r for r in job.parts)
                for b, r, _ in list(pieces(job, plan)):
                    if r.part in together and r.stave is None:
                        home = next(h for h in plan.boards if h.board == b.board)
                        plan = with_piece(plan, home, r, set="both")
                return replace(job, parts=parts), plan
    return None


@breaks(603)
def other_pair(job: Job, plan: Plan) -> Broken:
    for b, p, _ in pieces(job, plan, "book"):
        return job, with_piece(plan, b, p, set="another")
    return None


@breaks(603, 204, 311, 707, 501, 502)
def both_in_one_layer(job: Job, plan: Plan) -> Broken:
    for b, p, _ in pieces(job, plan, "book"):
        return job, with_piece(plan, b, p, layer=3 - p.layer)
    return None


@breaks(604)
def two_hinges(job: Job, plan: Plan) -> Broken:
    for b, p, _ in pieces(job, plan, "book"):
        return job, with_piece(plan, b, p, hinge="far" if p.hinge == "near" else "near")
    return None


@breaks(605)
def outer_faces_show(job: Job, plan: Plan) -> Broken:
    for b, p, _ in pieces(job, plan, "book"):
        return job, with_piece(plan, b, p, show="A")
    return None


@breaks(606, 401)
def slipped(job: Job, plan: Plan) -> Broken:
    for b, p, part in pieces(job, plan, "slip"):
        if sum(q.qty for q in job.parts if q.match == part.match) > 1:
            return job, with_piece(plan, b, p, length=p.length - BIT)
    return None


@breaks(607, 402)
def narrowed_in_a_run(job: Job, plan: Plan) -> Broken:
    for b, p, part in pieces(job, plan, "run"):
        if sum(q.qty for q in job.parts if q.match == part.match) > 1:
            return job, with_piece(plan, b, p, width=p.width - BIT)
    return None


@breaks(608, 107)
def run_out_of_order(job: Job, plan: Plan) -> Broken:
    rows = [p for p in job.parts if p.match_kind == "run"]
    rows = [p for p in rows if p.match == rows[0].match]
    if len(rows) < 3 or not any(True for _ in pieces(job, plan, "run")):
        return None
    others = [p for p in job.parts if p not in rows]
    return replace(job, parts=(*others, rows[1], rows[0], *rows[2:])), plan


@breaks(609, 401)
def gap_in_a_run(job: Job, plan: Plan) -> Broken:
    for b, p, part in pieces(job, plan, "run"):
        if any(q.x == p.x + p.length + job.shop.kerf.crosscut and job.part_named[q.part].match == part.match for q in b.pieces):
            return job, with_piece(plan, b, p, length=p.length - BIT)
    return None


@breaks(610)
def other_set(job: Job, plan: Plan) -> Broken:
    for b, p, part in pieces(job, plan):
        if part.match_kind != "book":
            return job, with_piece(plan, b, p, set="another")
    return None


@breaks(611)
def pinned_elsewhere(job: Job, plan: Plan) -> Broken:
    b, p, _ = next(pieces(job, plan))
    return replace(job, pins=(*job.pins, Pin(p.piece, b.board, p.x + BIT, p.y))), plan


@breaks(611)
def pinned_in_another_layer(job: Job, plan: Plan) -> Broken:
    b, p, _ = next(pieces(job, plan))
    return replace(job, pins=(*job.pins, Pin(p.piece, b.board, p.x, p.y, p.layer + 1))), plan


@breaks(611)
def pinned_whole_but_glued(job: Job, plan: Plan) -> Broken:
    for b, p, _ in pieces(job, plan):
        if p.stave is not None:
            head, mark, tail = p.piece.rpartition("#")
            return replace(job, pins=(*job.pins, Pin(head + mark + tail.partition("/")[0], b.board, p.x, p.y))), plan
    return None
