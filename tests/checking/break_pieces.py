"""Ways to break rules 3xx to 5xx: blanks, pieces, defects."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction as F
from typing import Any

from breaking import (
    BIT,
    Broken,
    blanks,
    breaks,
    on_board,
    pieces,
    summed,
    swapped,
    tiny,
    with_board,
    with_defect,
    with_part,
    with_piece,
    with_shop,
)

from yieldopt.wood.lumber import Defect, Job, Part
from yieldopt.wood.plan import Piece, Plan

# --- 3xx blanks ---------------------------------------------------------------------------------------------------


@breaks(301)
def longer_machines(job: Job, plan: Plan) -> Broken:
    return with_shop(job, "machines", min_mill_length=min(k.length for _, k in blanks(plan)) + BIT), plan


@breaks(302)
def wider_rips(job: Job, plan: Plan) -> Broken:
    return with_shop(job, "machines", min_rip_width=min(k.width for _, k in blanks(plan)) + BIT), plan


@breaks(303)
def narrower_planer(job: Job, plan: Plan) -> Broken:
    return with_shop(job, "machines", planer_width=max(k.width for _, k in blanks(plan)) - BIT), plan


@breaks(304)
def nothing_to_flatten_with(job: Job, plan: Plan) -> Broken:
    widest = max(k.width for _, k in blanks(plan))
    return with_shop(job, "machines", wide_flattening="none", joint_width=widest - BIT), plan


@breaks(305)
def lower_saw(job: Job, plan: Plan) -> Broken:
    wide = [k.width for _, k in blanks(plan, resawn=True)]
    return (with_shop(job, "machines", resaw_height=max(wide) - BIT), plan) if wide else None


@breaks(306, 308, 712)
def stressed_board(job: Job, plan: Plan) -> Broken:
    for b, _ in blanks(plan, resawn=True):
        return with_board(job, job.board_named[b.board], stress="no resaw"), plan
    return None


@breaks(307)
def thicker_least(job: Job, plan: Plan) -> Broken:
    return with_shop(job, "machines", min_thickness=min(t for _, k in blanks(plan) for t in k.thicknesses) + BIT), plan


@breaks(308)
def thinner_board(job: Job, plan: Plan) -> Broken:
    for b, k in blanks(plan):
        return with_board(job, job.board_named[b.board], thickness=sum(k.thicknesses) + 2 * job.shop.allowances.face - BIT), plan
    return None


@breaks(308)
def bowed_board(job: Job, plan: Plan) -> Broken:
    for b, k in blanks(plan):
        board = job.board_named[b.board]
        return with_board(job, board, bow=board.thickness * (board.length / k.length) ** 2), plan
    return None


@breaks(308, 712)
def more_spare_for_tested_wood(job: Job, plan: Plan) -> Broken:
    for b, _ in blanks(plan, resawn=True):
        if job.board_named[b.board].stress == "tested":
            return with_shop(job, "allowances", tested_spare=job.board_named[b.board].thickness), plan
    return None


@breaks(309)
def crooked_board(job: Job, plan: Plan) -> Broken:
    for b, k in blanks(plan):
        board = job.board_named[b.board]
        if not board.edges:
            return with_board(job, board, crook=board.width * (board.length / k.length) ** 2), plan
    return None


@breaks(310)
def loose_knot(job: Job, plan: Plan) -> Broken:
    b, p, _ = next(pieces(job, plan))
    job = replace(job, parts=tuple(replace(part, allow=part.allow | {"loose knot"}) for part in job.parts))
    return with_defect(job, b.board, tiny("loose knot", p)), plan


@breaks(310, 501)
def split_running_on(job: Job, plan: Plan) -> Broken:
    """The split as logged ends before the blank; what it runs on unseen does not."""
    return _runs_on(job, plan, "split", "split_along", "along")


@breaks(311)
def empty_layer(job: Job, plan: Plan) -> Broken:
    for b, p, _ in pieces(job, plan, None):
        alone = not any(q.blank == p.blank and q.layer == p.layer and q is not p for q in b.pieces)
        k = next(k for k in b.blanks if k.blank == p.blank)
        kept = any(o.x >= k.x and o.x < k.x + k.length and o.y >= k.y and o.y < k.y + k.width for o in b.offcuts)
        if alone and not kept and p.stave is None:
            listed = swapped(b.blanks, k, pieces=tuple(n for n in k.pieces if n != p.piece))
            return job, summed(job, on_board(plan, b, pieces=tuple(q for q in b.pieces if q is not p), blanks=listed))
    return None


# --- 4xx pieces ---------------------------------------------------------------------------------------------------


def _part_moved(job: Job, plan: Plan, fits: Callable[[Piece, Part], bool], **changes: Callable[[Part], Any]) -> Broken:
    for _, p, part in pieces(job, plan, None):
        if fits(p, part):
            moved = with_part(job, part, **{name: change(part) for name, change in changes.items()})
            return moved, summed(moved, plan)
    return None


@breaks(401)
def longer_part(job: Job, plan: Plan) -> Broken:
    return _part_moved(job, plan, lambda p, part: part.grain == "length", length=lambda part: part.length + 40)


@breaks(401)
def outer_end_of_a_run(job: Job, plan: Plan) -> Broken:
    """The run's first piece loses a little at its outer end, where `end` is due; nothing between the pieces moves."""
    for b, p, part in pieces(job, plan, "run"):
        run = [q for q in b.pieces if job.part_named[q.part].match == part.match]
        if len(run) > 1 and p.x == min(q.x for q in run):
            return job, with_piece(plan, b, p, x=p.x + BIT, length=p.length - BIT)
    return None


@breaks(402)
def wider_part(job: Job, plan: Plan) -> Broken:
    return _part_moved(job, plan, lambda p, part: part.grain == "length" and p.stave is None, width=lambda part: part.width + 40)


@breaks(403)
def other_species(job: Job, plan: Plan) -> Broken:
    return _part_moved(job, plan, lambda p, part: True, species=lambda part: "no such wood")


@breaks(404)
def from_elsewhere(job: Job, plan: Plan) -> Broken:
    return _part_moved(job, plan, lambda p, part: True, sources=lambda part: ("no such board",))


@breaks(405)
def sawn_otherwise(job: Job, plan: Plan) -> Broken:
    for b, _, part in pieces(job, plan):
        other = next(s for s in ("flat", "rift") if s != job.board_named[b.board].sawn)
        return with_part(job, part, sawn=other), plan
    return None


@breaks(406)
def other_thickness(job: Job, plan: Plan) -> Broken:
    return _part_moved(job, plan, lambda p, part: True, thickness=lambda part: part.thickness + BIT)


@breaks(406)
def stave_far_thicker(job: Job, plan: Plan) -> Broken:
    """A stave may be up to 1/4 thicker than its part, and no more."""
    far = F(1, 4) + BIT

    def fits(p: Piece, part: Part) -> bool:
        return p.stave is not None and part.thickness > far

    return _part_moved(job, plan, fits, thickness=lambda part: part.thickness - far)


@breaks(407)
def stave_milled_far_thicker(job: Job, plan: Plan) -> Broken:
    """Each stave says that it is as thick as its part, but its layer is milled more than 1/4 thicker."""
    for _, first, part in pieces(job, plan):
        if first.stave is not None and part.thickness > F(1, 4) + BIT:
            least = part.thickness - F(1, 4) - BIT
            moved = with_part(job, part, thickness=least)
            boards = tuple(
                replace(b, pieces=tuple(replace(p, thickness=least) if p.part == part.name else p for p in b.pieces))
                for b in plan.boards
            )
            return moved, summed(moved, replace(plan, boards=boards))
    return None


@breaks(407)
def milled_thinner(job: Job, plan: Plan) -> Broken:
    for b, k in blanks(plan):
        staves = any(p.stave is not None for p in b.pieces if p.blank == k.blank)
        if k.layers == 1 and not staves and k.thicknesses[0] - BIT >= job.shop.machines.min_thickness:
            return job, summed(job, on_board(plan, b, blanks=swapped(b.blanks, k, thicknesses=(k.thicknesses[0] - BIT,))))
    return None


@breaks(408)
def narrower_staves(job: Job, plan: Plan) -> Broken:
    for _, p, part in pieces(job, plan):
        if p.stave is not None and part.staves is not None:
            return with_part(job, part, staves=(F(1, 100), p.width - 2 * job.shop.allowances.edge - BIT)), plan
    return None


@breaks(409)
def wider_panel(job: Job, plan: Plan) -> Broken:
    for _, p, part in pieces(job, plan):
        if p.stave is not None:
            moved = with_part(job, part, width=part.width + 2)
            return moved, summed(moved, plan)
    return None


@breaks(410)
def no_staves(job: Job, plan: Plan) -> Broken:
    for _, p, part in pieces(job, plan):
        if p.stave is not None:
            return with_part(job, part, staves=None), plan
    return None


@breaks(411)
def nothing_to_flatten(job: Job, plan: Plan) -> Broken:
    """The shop wants more left on its staves than they have."""
    if not any(p.stave is not None for _, p, _ in pieces(job, plan)):
        return None
    least = job.shop.allowances.glue_up_least + BIT
    return with_shop(job, "allowances", glue_up=least, glue_up_least=least), plan


# --- 5xx defects --------------------------------------------------------------------------------------------------


@breaks(501, 802)
def worm_hole(job: Job, plan: Plan) -> Broken:
    for b, p, part in pieces(job, plan):
        if "worm" not in part.allow:
            return with_defect(job, b.board, tiny("worm", p)), plan
    return None


@breaks(501, 310)
def check_running_on(job: Job, plan: Plan) -> Broken:
    return _runs_on(job, plan, "check", "check_along", "along")


@breaks(501)
def beside_pith(job: Job, plan: Plan) -> Broken:
    return _runs_on(job, plan, "pith", "pith_across", "across")


def _runs_on(job: Job, plan: Plan, kind: str, setting: str, way: str) -> Broken:
    """A defect a hundredth of an inch off a piece, where the job keeps a little more than that clear of its kind."""
    hair = F(1, 100)
    for b, p, part in pieces(job, plan):
        if kind in part.allow or not getattr(job.shop.allowances, setting) <= hair:
            continue
        x, y = p.x + p.length / 2, p.y + p.width / 2
        x, y = (p.x - 2 * hair, y) if way == "along" else (x, p.y - 2 * hair)
        if x >= 0 and not any(d.kind == kind for d in job.board_named[b.board].defects):
            near = with_defect(job, b.board, Defect(kind, "both", x, y, hair, hair))
            return with_shop(near, "allowances", **{setting: hair + hair / 2}), plan
    return None


@breaks(502, 503)
def stained(job: Job, plan: Plan) -> Broken:
    for b, p, part in pieces(job, plan):
        if "stain" not in part.allow and part.faces:
            return with_defect(job, b.board, tiny("stain", p)), plan
    return None


@breaks(502, 503)
def knot_beside(job: Job, plan: Plan) -> Broken:
    """The knot itself lies off the piece; the grain that swirls round it does not."""
    for b, p, part in pieces(job, plan):
        reach = job.shop.allowances.defect_along
        if "knot" not in part.allow and part.faces == 2 and reach > 1 / F(10) and p.x > reach:
            knot = Defect("knot", "both", p.x - reach - F(1, 100) + F(1, 20), p.y + p.width / 2, F(1, 100), F(1, 100))
            return with_defect(job, b.board, knot), plan
    return None


@breaks(503)
def no_show_face(job: Job, plan: Plan) -> Broken:
    for b, p, part in pieces(job, plan):
        if part.faces == 1 and part.match_kind != "book":
            return job, with_piece(plan, b, p, show=None)
    return None
