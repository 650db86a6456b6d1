"""Ways to break rules 7xx: the cuts and their order."""

from __future__ import annotations

from fractions import Fraction as F

from breaking import (
    BIT,
    Broken,
    blanks,
    breaks,
    cuts,
    on_board,
    pieces,
    with_cut,
    with_shop,
)

from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Cut, Plan, StressStrip

# --- 7xx sawing ---------------------------------------------------------------------------------------------------


@breaks(701, 709)
def one_place_twice(job: Job, plan: Plan) -> Broken:
    for b in plan.boards:
        if len(b.cuts) > 1:
            return job, with_cut(plan, b, b.cuts[1], order=b.cuts[0].order)
    return None


@breaks(702)
def resaw_of_a_layer(job: Job, plan: Plan) -> Broken:
    for b, c in cuts(plan, "resaw"):
        return job, with_cut(plan, b, c, layer=1)
    return None


@breaks(702, 309, 704, 705, 707, 708)
def rough_cut_in_a_blank(job: Job, plan: Plan) -> Broken:
    for b, c in cuts(plan, "rough"):
        return job, with_cut(plan, b, c, blank=b.blanks[0].blank)
    return None


@breaks(703, 309, 705, 708)
def thinner_kerf(job: Job, plan: Plan) -> Broken:
    for stage in ("final", "rough"):
        for b, c in cuts(plan, stage):
            return job, with_cut(plan, b, c, kerf=c.kerf / 2)
    return None


@breaks(704)
def sawing_air(job: Job, plan: Plan) -> Broken:
    b = plan.boards[0]
    length = job.board_named[b.board].length
    cut = Cut(10_000, "rough", "crosscut", length + 5, F(0), F(5), job.shop.kerf.crosscut)
    return job, on_board(plan, b, cuts=(*b.cuts, cut))


@breaks(705)
def stopped_short(job: Job, plan: Plan) -> Broken:
    for b, c in cuts(plan, "rough"):
        # On a wandering edge half a rip may be all there is to saw.
        if b.cuts[0] is c and c.kind == "rip" and not job.board_named[b.board].edges:
            return job, with_cut(plan, b, c, end=c.start + (c.end - c.start) / 2)
    return None


@breaks(705)
def crosscut_stopped_short(job: Job, plan: Plan) -> Broken:
    for b, c in cuts(plan, "rough", "crosscut"):
        return job, with_cut(plan, b, c, end=(c.start + c.end) / 2)
    return None


@breaks(705, 309, 704, 706, 707, 708)
def out_of_turn(job: Job, plan: Plan) -> Broken:
    """The last rough cut made first: through wood that should have been parted before."""
    for b in plan.boards:
        rough = [c for c in b.cuts if c.stage == "rough"]
        if len(rough) > 2 and rough[0].kind != rough[-1].kind:
            first, last = rough[0], rough[-1]
            if last.start > first.start or last.end < first.end:
                return job, with_cut(plan, b, last, order=0)
    return None


@breaks(706, 705, 707)
def through_a_piece(job: Job, plan: Plan) -> Broken:
    for b, p, _ in pieces(job, plan):
        k = next(k for k in b.blanks if k.blank == p.blank)
        at = p.x + p.length / 2
        cut = Cut(10_000, "final", "crosscut", at, k.y, k.y + k.width, job.shop.kerf.crosscut, k.blank, None)
        if not any(c.blank == k.blank and c.kind == "rip" for c in b.cuts):
            return job, on_board(plan, b, cuts=(*b.cuts, cut))
    return None


@breaks(706, 705)
def through_a_blank(job: Job, plan: Plan) -> Broken:
    for b, k in blanks(plan):
        cut = Cut(10_000, "rough", "rip", k.y + k.width / 2, k.x, k.x + k.length, job.shop.kerf.rip)
        return job, on_board(plan, b, cuts=(*b.cuts, cut))
    return None


@breaks(707)
def never_parted(job: Job, plan: Plan) -> Broken:
    for b, c in cuts(plan, "final"):
        for p in b.pieces:
            if p.blank == c.blank and c.kind == "crosscut" and p.x == c.at + c.kerf and c.layer in (None, p.layer):
                return job, on_board(plan, b, cuts=tuple(d for d in b.cuts if d is not c))
    return None


@breaks(708, 309, 705)
def untrimmed_blank(job: Job, plan: Plan) -> Broken:
    trim = job.shop.allowances.board_end
    for b, c in cuts(plan, "rough", "crosscut"):
        datum_end = any(k.x == c.at + c.kerf == trim for k in b.blanks)
        if datum_end and not job.board_named[b.board].datum_sound and c.at > job.shop.kerf.crosscut:
            return job, on_board(plan, b, cuts=tuple(d for d in b.cuts if d is not c))
    return None


@breaks(709)
def pieces_before_blanks(job: Job, plan: Plan) -> Broken:
    for b, c in cuts(plan, "final"):
        if any(d.stage == "rough" for d in b.cuts):
            return job, with_cut(plan, b, c, order=0)
    return None


@breaks(709)
def resawn_in_the_rough(job: Job, plan: Plan) -> Broken:
    for b, c in cuts(plan, "resaw"):
        if any(d.stage == "rough" for d in b.cuts):
            return job, with_cut(plan, b, c, order=0)
    return None


@breaks(710)
def out_of_its_blank(job: Job, plan: Plan) -> Broken:
    for b, c in cuts(plan, "final"):
        return job, with_cut(plan, b, c, end=c.end + 5)
    return None


@breaks(711)
def not_resawn(job: Job, plan: Plan) -> Broken:
    for b, c in cuts(plan, "resaw"):
        return job, on_board(plan, b, cuts=tuple(d for d in b.cuts if d is not c))
    return None


@breaks(712)
def resawn_off_depth(job: Job, plan: Plan) -> Broken:
    for b, c in cuts(plan, "resaw"):
        return job, with_cut(plan, b, c, at=c.at + BIT)
    return None


@breaks(713)
def done_too_soon(job: Job, plan: Plan) -> Broken:
    for b in plan.boards:
        finals = [c for c in b.cuts if c.stage != "rough"]
        if finals and any(c.stage == "rough" for c in b.cuts):
            return job, with_cut(plan, b, finals[-1], state="done")
    return None


# --- the strip for a stress test ----------------------------------------------------------------------------------


@breaks(205, 714, 715)
def strip_at_the_end(job: Job, plan: Plan) -> Broken:
    b = plan.boards[0]
    job = with_shop(job, "allowances", stress_strip=F(1), stress_strip_from_end=F(12))
    return job, on_board(plan, b, stress_strip=StressStrip(F(1), F(1)))


@breaks(714, 205, 715)
def strip_through_a_blank(job: Job, plan: Plan) -> Broken:
    for b, k in blanks(plan):
        return job, on_board(plan, b, stress_strip=StressStrip(k.x + k.length / 2, F(1)))
    return None


@breaks(715, 205, 714)
def strip_never_cut_off(job: Job, plan: Plan) -> Broken:
    b = plan.boards[0]
    return job, on_board(plan, b, stress_strip=StressStrip(job.board_named[b.board].length / 2 + F(1, 97), F(1)))
