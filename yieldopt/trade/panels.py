"""What the glued-up panels of a planned job will do: their width over the year, and readings that say not to glue yet."""

from __future__ import annotations

from yieldopt.ground.errors import UsageError
from yieldopt.ground.lengths import MM_PER_INCH
from yieldopt.trade.facts import MOVEMENT_CAUTION, movement_lines
from yieldopt.trade.readings import glue_up_warnings
from yieldopt.trade.species import find
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan


def panel_lines(job: Job, plan: Plan, steps: list[tuple[str, float, float]]) -> list[str]:
    """For each part of the plan that is glued up from staves: its movement in `steps`, then the warnings of each glue-up.

    Parts that ask for quartersawn wood move as quartersawn, all others as flatsawn.
    """
    glued = {p.part for b in plan.boards for p in b.pieces if p.stave is not None}
    lines: list[str] = []
    for part in job.parts:
        if part.name not in glued:
            continue
        width = part.width if job.units == "in" else part.width * MM_PER_INCH
        try:
            wood = find(part.species)
        except UsageError as error:
            lines.append(f"{part.name}: {error}")
            continue
        found = movement_lines(wood, float(width), job.units, steps, "quarter" if part.sawn == "quarter" else "flat")
        lines += [f"{part.name}: {found[0]}", *found[1:-1]]
    if not lines:
        return ["The plan has no glued-up parts."]
    for piece, warnings in glue_up_warnings(plan, job.boards, job.shop.room).items():
        lines += [f"gluing {piece}: {w}" for w in warnings]
    return [*lines, MOVEMENT_CAUTION]
