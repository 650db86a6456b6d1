"""A piece of the plan in words: why its sizes are what they are, what is tight, which second places it has."""

from __future__ import annotations

from pydantic import BaseModel

from yieldopt.ground.lengths import marked
from yieldopt.insight.explaining import explain_part
from yieldopt.insight.second_choice import from_plan
from yieldopt.insight.slack import blank_slacks
from yieldopt.records.why import spare_words
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan


class About(BaseModel):
    """Sentences on each."""

    sizes: list[str]
    tight: list[str]
    elsewhere: list[str]


def about(job: Job, plan: Plan, name: str) -> About | None:
    """Of the piece of this name; None where the plan has none."""
    piece = next((p for _, p in plan.pieces() if p.piece == name), None)
    if piece is None:
        return None
    u = plan.units
    sizes = [f"{line.topic}: {line.text}" for line in explain_part(job.part_named[piece.part], job)]
    tight = [
        f"blank {s.blank} has {spare_words(s.spare, u)} of thickness to spare" + ("; it may come out thin" if s.at_risk else "")
        for s in blank_slacks(job, plan)
        if s.blank == piece.blank
    ]
    places = [
        f"{c.board} at {marked(c.x, u)}, {marked(c.y, u)}, in {c.wood}"
        + (f", with {', '.join(c.together)}" if c.together else "")
        + ("" if c.cost is None else f"; it adds {float(c.cost):.2f} at most")
        for c in from_plan(plan)
        if c.piece == name
    ]
    return About(sizes=sizes, tight=tight, elsewhere=places or ["none was found"])
