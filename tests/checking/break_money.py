"""Ways to break rules 8xx: kept offcuts and money."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

from breaking import (
    BIT,
    Broken,
    breaks,
    loose_kept,
    on_board,
    swapped,
    tiny,
    with_defect,
    with_shop,
)
from layouts import with_totals

from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

# --- 8xx offcuts and money ----------------------------------------------------------------------------------------


@breaks(801)
def too_short_to_keep(job: Job, plan: Plan) -> Broken:
    kept = [o.length for b in plan.boards for o in b.offcuts]
    return (with_shop(job, "values", offcut_min_length=min(kept) + BIT), plan) if kept else None


@breaks(801)
def too_narrow_to_keep(job: Job, plan: Plan) -> Broken:
    kept = [o.width for b in plan.boards for o in b.offcuts]
    return (with_shop(job, "values", offcut_min_width=min(kept) + BIT), plan) if kept else None


@breaks(802)
def checked_offcut(job: Job, plan: Plan) -> Broken:
    for b, o in loose_kept(plan):
        return with_defect(job, b.board, tiny("check", o)), plan
    return None


@breaks(803)
def second_of_one(job: Job, plan: Plan) -> Broken:
    for b, o in loose_kept(plan):
        return job, on_board(plan, b, offcuts=swapped(b.offcuts, o, layer=2))
    return None


@breaks(811, 814)  # 814: a board without a price has a bound of nothing
def dearer(job: Job, plan: Plan) -> Broken:
    b = plan.boards[0]
    return job, with_totals(job, on_board(plan, b, cost=b.cost + 1).boards)


@breaks(812)
def too_much_credit(job: Job, plan: Plan) -> Broken:
    b = plan.boards[0]
    return job, with_totals(job, on_board(plan, b, credit=b.credit + F(1, 2)).boards)


@breaks(813)
def sums_wrong(job: Job, plan: Plan) -> Broken:
    return job, replace(plan, totals=replace(plan.totals, net_cost=plan.totals.net_cost + 5, gap=None))


@breaks(813, 115)
def no_number(job: Job, plan: Plan) -> Broken:
    return job, replace(plan, totals=replace(plan.totals, net_cost=float("nan"), bound=None, gap=None))


@breaks(814)
def bound_too_high(job: Job, plan: Plan) -> Broken:
    return job, replace(plan, totals=replace(plan.totals, bound=plan.totals.net_cost + 5, gap=None))


@breaks(814)
def bound_a_hair_too_high(job: Job, plan: Plan) -> Broken:
    """By two units of the sixth place, in which money is written."""
    net = sum((b.cost - b.credit for b in plan.boards), F(0))
    return job, replace(plan, totals=replace(plan.totals, bound=round(float(net), 6) + 0.000002, gap=None))


@breaks(815)
def wrong_gap(job: Job, plan: Plan) -> Broken:
    if plan.totals.net_cost < 1:
        return None
    return job, replace(plan, totals=replace(plan.totals, gap=0.5))


@breaks(816)
def wrong_yield(job: Job, plan: Plan) -> Broken:
    return job, replace(plan, totals=replace(plan.totals, yield_=plan.totals.yield_ + 0.01))


@breaks(817)
def miscounted_boards(job: Job, plan: Plan) -> Broken:
    return job, replace(plan, totals=replace(plan.totals, boards_cut=plan.totals.boards_cut + 1))


@breaks(115, 815)
def endless_bound(job: Job, plan: Plan) -> Broken:
    return job, replace(plan, totals=replace(plan.totals, bound=float("-inf"), gap=None))
