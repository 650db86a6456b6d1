"""What a second choice costs: the credit of the wood it takes, or the board that it cuts. Money in the job's currency."""

from __future__ import annotations

from fractions import Fraction

from yieldopt.insight.other_places import Place
from yieldopt.rules.offcuts import large_enough, unsound_in
from yieldopt.wood.lumber import Job
from yieldopt.wood.rectangles import Rect


def choice_cost(job: Job, place: Place) -> Fraction:
    """Net cost that a blank at this place adds, if the largest sound rectangle beside it is kept where it may be.

    Nothing for waste; for a kept offcut the credit it loses; for a board that is not cut its price less what is kept of
    it. Laying out more boards anew may find something cheaper, so it is what the choice costs at most.
    """
    board, region = place.board, place.region
    if region.holds not in ("offcut", "blank") or not board.area:
        return Fraction(0)
    density = board.price / board.area * job.shop.values.offcut_credit
    before = board.price if region.holds == "blank" else region.length * region.width * density
    return before - _kept(job, place) * density


def _kept(job: Job, place: Place) -> Fraction:
    """Area of the largest rectangle of the region beside the blank that may be kept as an offcut."""
    r, kerf = place.region, job.shop.kerf
    far, top = r.x + r.length, r.y + r.width
    after, above = place.x + place.length + kerf.crosscut, place.y + place.width + kerf.rip
    sides = (
        (r.x, place.x - kerf.crosscut, r.y, top),
        (after, far, r.y, top),
        (r.x, far, r.y, place.y - kerf.rip),
        (r.x, far, above, top),
    )
    areas = [Fraction(0)]
    for x0, x1, y0, y1 in sides:
        if x1 <= x0:
            continue
        near, edge = place.board.channel(x0, x1)
        low, high = max(y0, near), min(y1, edge)
        rest = Rect(x0, low, x1 - x0, high - low)
        if large_enough(rest.length, rest.width, job.shop) and unsound_in(place.board.defects, rest) is None:
            areas.append(rest.area)
    return max(areas)
