"""Why a part has no place: the first thing in the way, in one line."""

from __future__ import annotations

from yieldopt.lengths import show
from yieldopt.lumber import Job, Part
from yieldopt.planning.context import Context, may_come_from
from yieldopt.sizing import blank_width_limit, rough_sizes, thickness_need


def why_unplaced(context: Context, name: str) -> str:
    """The reason in words; names the limit and the figure that breaks it where there is one."""
    job = context.job
    part = job.part_named[name]
    return _no_such_wood(job, part) or _too_big(job, part) or _fits_nowhere(context, part) or _no_room(part)


def _no_such_wood(job: Job, part: Part) -> str | None:
    boards = [b for b in job.boards if b.name not in job.leave]
    if not any(b.species == part.species for b in boards):
        return f"no board of {part.species}"
    if part.sources and not any(b.name in part.sources for b in boards):
        return "the boards it may come from are left out of this job"
    if not any(may_come_from(part, b) for b in boards):
        wanted = [] if part.sawn == "any" else [f"{part.sawn}-sawn"]
        wanted += [f"from {', '.join(part.sources)}"] if part.sources else []
        return f"no board of {part.species} is {' and '.join(wanted)}"
    return None


def _too_big(job: Job, part: Part) -> str | None:
    widest = blank_width_limit(job.shop, 2 if part.match_kind in ("book", "slip") else 1)
    narrowest = min(w for _, w in rough_sizes(part, job.shop))
    if narrowest > widest and part.staves is None:
        return f"rough width {show(narrowest, job.units)} is more than the machines take, {show(widest, job.units)}"
    return None


def _fits_nowhere(context: Context, part: Part) -> str | None:
    job = context.job
    k = job.parts.index(part)
    for cells in (p.cells for p in context.engine.full):
        if any(q.part == k for i in cells.items for q in context.items[i].pieces):
            return None
    boards = [b for b in job.boards if b.name not in job.leave and may_come_from(part, b)]
    layers = (
        2
        if part.match_kind == "book"
        else sum(p.qty for p in job.parts if p.match == part.match)
        if part.match_kind == "slip"
        else 1
    )
    need = min(thickness_need((part.thickness,) * layers, b.stress == "tested", job.shop) for b in boards)
    thickest = max(b.thickness for b in boards)
    if need > thickest:
        layered = f" for {layers} layers" if layers > 1 else ""
        have = show(thickest, job.units)
        return f"needs {show(need, job.units)} of thickness{layered}; the thickest such board has {have}"
    length = min(a for a, _ in rough_sizes(part, job.shop))
    longest = max(b.length for b in boards)
    if length > longest:
        return f"rough length {show(length, job.units)}; the longest such board has {show(longest, job.units)}"
    return "no such board has a blank of its size left after end trim, warp and outline"


def _no_room(part: Part) -> str:
    if part.match:
        return f"no room for the whole group {part.match} beside the parts placed"
    return "no room beside the parts placed: too little clear wood of its size"
