"""Ways to break rules 1xx and 2xx: records and places."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

from breaking import (
    BIT,
    Broken,
    blanks,
    breaks,
    on_board,
    pieces,
    swapped,
    with_board,
    with_cut,
    with_piece,
    with_shop,
)
from layouts import with_totals

from yieldopt.records.sections import GivenUp, NamesGone
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import BoardPlan, Offcut, Piece, Plan, Unplaced

# --- 1xx records --------------------------------------------------------------------------------------------------


@breaks(101)
def other_units(job: Job, plan: Plan) -> Broken:
    return job, replace(plan, units="mm" if plan.units == "in" else "in")


@breaks(102)
def strange_board(job: Job, plan: Plan) -> Broken:
    totals = replace(plan.totals, boards_cut=plan.totals.boards_cut + 1)
    return job, replace(plan, boards=(*plan.boards, BoardPlan("no such board", F(0), F(0))), totals=totals)


@breaks(103)
def board_twice(job: Job, plan: Plan) -> Broken:
    b = plan.boards[0]
    return job, with_totals(job, (*plan.boards, BoardPlan(b.board, b.cost, F(0))))


@breaks(104)
def left_board(job: Job, plan: Plan) -> Broken:
    return replace(job, leave=frozenset({plan.boards[0].board})), plan


@breaks(105, 111, 112, 702, 706, 707, 708, 709, 710, 711, 712, 204, 407, 311)
def blank_twice(job: Job, plan: Plan) -> Broken:
    for b in plan.boards:
        if len(b.blanks) > 1:
            return job, on_board(plan, b, blanks=swapped(b.blanks, b.blanks[1], blank=b.blanks[0].blank))
    return None


@breaks(106, 109, 409, 601, 816)
def piece_twice(job: Job, plan: Plan) -> Broken:
    seen: dict[str, Piece] = {}
    for b, p, part in pieces(job, plan):
        if part.name in seen and p.stave is None and seen[part.name].stave is None:
            name = seen[part.name].piece
            listed = tuple(replace(k, pieces=tuple(name if q == p.piece else q for q in k.pieces)) for k in b.blanks)
            return job, on_board(plan, b, pieces=swapped(b.pieces, p, piece=name), blanks=listed)
        seen[part.name] = p
    return None


@breaks(107)
def one_too_many(job: Job, plan: Plan) -> Broken:
    for b, p, part in pieces(job, plan):
        if p.stave is None:
            name = f"{part.name}#{part.qty + 1}"
            listed = tuple(replace(k, pieces=tuple(name if q == p.piece else q for q in k.pieces)) for k in b.blanks)
            return job, on_board(plan, b, pieces=swapped(b.pieces, p, piece=name), blanks=listed)
    return None


@breaks(107)
def unnumbered_stave(job: Job, plan: Plan) -> Broken:
    for b, p, _ in pieces(job, plan):
        if p.stave is not None:
            return job, with_piece(plan, b, p, stave=p.stave + 1)
    return None


@breaks(108, 109, 409, 601, 816)
def strange_part(job: Job, plan: Plan) -> Broken:
    for b, p, _ in pieces(job, plan, None):
        return job, with_piece(plan, b, p, part="no such part")
    return None


@breaks(109)
def miscounted(job: Job, plan: Plan) -> Broken:
    return job, replace(plan, unplaced=(*plan.unplaced, Unplaced(job.parts[0].name, 1, "")))


@breaks(110)
def strange_unplaced(job: Job, plan: Plan) -> Broken:
    return job, replace(plan, unplaced=(*plan.unplaced, Unplaced("no such part", 1, "")))


@breaks(111)
def unlisted(job: Job, plan: Plan) -> Broken:
    for b, k in blanks(plan):
        return job, on_board(plan, b, blanks=swapped(b.blanks, k, pieces=k.pieces[1:]))
    return None


@breaks(112, 501, 502, 607)
def layer_that_is_not(job: Job, plan: Plan) -> Broken:
    b, p, _ = next(pieces(job, plan))
    return job, with_piece(plan, b, p, layers=p.layers + 1)


@breaks(112, 203, 706, 707, 401, 402, 502, 501, 606, 607, 609, 603, 611, 204)
def beyond_its_blank(job: Job, plan: Plan) -> Broken:
    b, p, _ = next(pieces(job, plan))
    k = next(k for k in b.blanks if k.blank == p.blank)
    return job, with_piece(plan, b, p, x=k.x - BIT)


@breaks(113, 308, 311, 307, 711, 712)
def thickness_too_many(job: Job, plan: Plan) -> Broken:
    b, k = next(blanks(plan))
    return job, on_board(plan, b, blanks=swapped(b.blanks, k, thicknesses=(*k.thicknesses, F(1, 4))))


@breaks(114)
def nothing_left(job: Job, plan: Plan) -> Broken:
    b = plan.boards[0]
    return job, on_board(plan, b, offcuts=(*b.offcuts, Offcut("scrap", F(0), F(0), F(0), F(1), kept=False)))


@breaks(115)
def strange_word(job: Job, plan: Plan) -> Broken:
    for b in plan.boards:
        for c in b.cuts:
            return job, with_cut(plan, b, c, state="half")
    return None


@breaks(115)
def strange_value(job: Job, plan: Plan) -> Broken:
    for b, p, part in pieces(job, plan, None):
        if p.stave is None and part.faces != 1:
            return job, with_piece(plan, b, p, show=["A"])
    return None


@breaks(116)
def offcut_twice(job: Job, plan: Plan) -> Broken:
    b = plan.boards[0]
    scrap = Offcut("scrap", F(0), F(0), F(1), F(1), kept=False)
    return job, on_board(plan, b, offcuts=(*b.offcuts, scrap, scrap))


@breaks(117)
def given_up_name(job: Job, plan: Plan) -> Broken:
    b = next(b for b in plan.boards if b.blanks)
    return job, plan.saying(GivenUp((NamesGone(b.board, blanks=(b.blanks[0].blank,)),)))


@breaks(117)
def given_up_number(job: Job, plan: Plan) -> Broken:
    b = next(b for b in plan.boards if b.cuts)
    return job, plan.saying(GivenUp((NamesGone(b.board, cuts=(b.cuts[0].order,)),)))


# --- 2xx places ---------------------------------------------------------------------------------------------------


@breaks(201)
def untrimmed(job: Job, plan: Plan) -> Broken:
    b = plan.boards[0]
    half = job.board_named[b.board].length / 2
    if not any(k.x < half for k in b.blanks):
        return None
    job = with_board(job, job.board_named[b.board], datum_sound=False)
    return with_shop(job, "allowances", board_end=half, board_end_thick=None), plan


@breaks(201)
def thick_stock_untrimmed(job: Job, plan: Plan) -> Broken:
    """8/4 and thicker has a trim of its own: what is enough for other boards is not for it."""
    for b in plan.boards:
        board = job.board_named[b.board]
        if board.nominal >= 2 and any(k.x < board.length / 2 for k in b.blanks):
            return with_shop(with_board(job, board, datum_sound=False), "allowances", board_end_thick=board.length / 2), plan
    return None


@breaks(202, 203, 204, 309, 705, 706, 707, 708)
def over_the_edge(job: Job, plan: Plan) -> Broken:
    for b, k in blanks(plan):
        near, _ = job.board_named[b.board].channel(k.x, k.x + k.length)
        if k.y == near:
            return job, on_board(plan, b, blanks=swapped(b.blanks, k, y=k.y - BIT, width=k.width + BIT))
    return None


@breaks(203, 202, 303, 304, 305, 308, 309, 310, 705, 706, 707)
def blanks_touch(job: Job, plan: Plan) -> Broken:
    for b in plan.boards:
        for k in b.blanks:
            for o in b.blanks:
                if o.y == k.y + k.width + job.shop.kerf.rip and o.x < k.x + k.length and k.x < o.x + o.length:
                    return job, on_board(plan, b, blanks=swapped(b.blanks, k, width=k.width + job.shop.kerf.rip / 2))
    return None


@breaks(204, 112, 501, 502, 706, 609, 603, 606)
def pieces_touch(job: Job, plan: Plan) -> Broken:
    for b, p, _ in pieces(job, plan):
        for q in b.pieces:
            if q.blank == p.blank and q.layer == p.layer and q.x == p.x + p.length + job.shop.kerf.crosscut:
                return job, with_piece(plan, b, p, length=p.length + job.shop.kerf.crosscut / 2)
    return None
