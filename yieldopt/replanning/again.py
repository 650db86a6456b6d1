"""Plan again: the state of the job, what is lost, the ways on, and the one that is worth its changes."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

from yieldopt.checking import check
from yieldopt.errors import CheckFailed
from yieldopt.lumber import Job
from yieldopt.plan import BoardPlan, Plan
from yieldopt.replanning.candidate import Way, shown, way_on, whole_parts
from yieldopt.replanning.compare import Change, changes
from yieldopt.replanning.hits import spoils, spoils_offcut, thrown_in
from yieldopt.replanning.lost import Standing, lost, movable, standing
from yieldopt.replanning.state import marked, with_found
from yieldopt.replanning.surprise import Surprise

# Money that rubbing out one chalk line and drawing another is worth: half a minute at a shop's hourly rate.
# Common practice, no source.
MARK_PRICE = 0.5
# Share of the time for the way that changes least; the rest goes to laying out everything movable anew.
LEAST_SHARE = 0.35


@dataclass(frozen=True)
class Replanned:
    """The job with the defects found in it, the plan of what is left, and what to tell the shop."""

    job: Job
    plan: Plan
    # Finished pieces that a found defect hits: they stay in the plan, and why.
    hit_done: tuple[tuple[str, str], ...]
    # Pieces that are planned anew or have no place any more, and why.
    lost: tuple[tuple[str, str], ...]
    # Finished pieces that are good but of no use any more: the other half of a pair is lost.
    set_aside: tuple[str, ...]
    changes: tuple[Change, ...]


def replan(
    job: Job,
    plan: Plan,
    surprise: Surprise,
    *,
    seconds: float = 3.0,
    seed: int = 0,
    mark_price: float = MARK_PRICE,
) -> Replanned:
    """Mark what is done and plan the rest again within `seconds`; `mark_price` is money a chalk line that changes.

    Where nothing is lost the layout stays as it is; where nothing changed at all, so does the revision, which
    otherwise goes up by one. Raises `CheckFailed` if the independent check refuses every plan found.
    """
    began = time.monotonic()
    job = with_found(job, surprise.found)
    state = marked(job, plan, surprise)
    s = standing(job, state)
    gone, why = lost(s)
    refused: list[str] = []
    best = _unchanged(s, gone)
    if best is None or check(job, best.plan):
        ways = _ways(s, gone, seconds, seed)
        best, refused = _best(job, plan, ways, mark_price)
        if best is None:
            raise CheckFailed(refused)
    new = best.plan
    new = replace(new, totals=replace(new.totals, seconds=round(time.monotonic() - began, 3)))
    changed = changes(plan, new)
    if _same(plan, new):
        new = plan
    else:
        kept = {k: v for k, v in (plan.extra or {}).items() if k not in ("history", "second_choices")}
        new = replace(new, revision=plan.revision + 1, extra=kept or None)
    there = {p.piece for _, p in new.pieces()}
    finished = {p.piece for _, p in state.pieces() if p.state == "done"}
    still = {p.piece for _, p in new.pieces() if p.state == "done"}
    aside = tuple(sorted(finished - still))
    tied = "it lay in one blank or set with a piece that is lost"
    reasons = {p.piece: why.get(p.piece, tied) for _, p in state.pieces() if p.piece in gone}
    reasons.update((n, "spoiled") for n in _spoiled_now(plan, state))
    told = tuple((n, w if n in there else f"{w}; it has no place now") for n, w in sorted(reasons.items()) if n not in aside)
    return Replanned(job, new, tuple((n, w) for n, w in _hit_done(s, surprise) if n in there), told, aside, changed)


def _ways(s: Standing, gone: frozenset[str], seconds: float, seed: int) -> list[Way]:
    """The least change, everything movable anew, and leaving out what is lost."""
    free = movable(s, gone)
    ways = [way_on(s, gone, True, seconds * LEAST_SHARE, seed)]
    ways.append(way_on(s, free, False, seconds * (1 - LEAST_SHARE), seed))
    ways.append(way_on(s, gone, True, 0.0, seed))
    # What the freest way on can't beat, none can.
    bound = ways[1].bound
    return [replace(w, bound=bound, plan=_bounded(w.plan, bound)) for w in ways]


def _bounded(plan: Plan, bound: float | None) -> Plan:
    t = plan.totals
    if bound is None or plan.unplaced:
        return replace(plan, totals=replace(t, bound=None, gap=None))
    bound = min(bound, t.net_cost)
    gap = (t.net_cost - bound) / t.net_cost if t.net_cost > 0 else 0.0
    return replace(plan, totals=replace(t, bound=round(bound, 6), gap=gap))


def _best(job: Job, old: Plan, ways: list[Way], mark_price: float) -> tuple[Way | None, list[str]]:
    """The way that misses least and then costs least with its changed lines; what the check refused in any."""
    refused: list[str] = []

    def rank(way: Way) -> tuple[int, float]:
        lines = sum(len(c.rub_out) for c in changes(old, way.plan))
        return way.missing, way.plan.totals.net_cost + mark_price * lines

    for way in sorted(ways, key=rank):
        findings = check(job, way.plan)
        if not findings:
            return way, refused
        refused += [str(f) for f in findings]
    return None, refused


def _unchanged(s: Standing, gone: frozenset[str]) -> Way | None:
    """The plan with its marks, where nothing is lost, missing anew or worth less."""
    for b in s.benches.values():
        if any(spoils_offcut(b.board, o) for o in b.plan.offcuts if o.kept):
            return None
        # A blank may hold nothing but spent wood: it has no piece to lose, and yet it may not be machined.
        if any(thrown_in(b.board, blank, b.plan) for blank in b.plan.blanks):
            return None
    if gone:
        return None
    whole = whole_parts(s.job, s.plan.boards)
    missing = {p.name: p.qty - len(whole.get(p.name, ())) for p in s.job.parts if p.qty > len(whole.get(p.name, ()))}
    if missing != {u.part: u.qty for u in s.plan.unplaced}:
        return None
    return Way(replace(s.plan, boards=tuple(shown(s.job, e) for e in s.plan.boards)), sum(missing.values()), None)


def _same(old: Plan, new: Plan) -> bool:
    def body(b: BoardPlan) -> tuple[object, ...]:
        return b.board, b.cuts, b.blanks, b.pieces, b.offcuts, b.spoiled

    return [body(b) for b in old.boards] == [body(b) for b in new.boards] and old.unplaced == new.unplaced


def _spoiled_now(old: Plan, state: Plan) -> list[str]:
    left = {p.piece for _, p in state.pieces()}
    return [p.piece for _, p in old.pieces() if p.piece not in left]


def _hit_done(s: Standing, surprise: Surprise) -> list[tuple[str, str]]:
    told = []
    for name, found in surprise.found.items():
        bench = s.benches.get(name)
        for p in bench.plan.pieces if bench else ():
            if p.state == "done" and p.part in s.job.part_named:
                bad = [d for d in spoils(s.job, bench.board, p) if d in found]  # type: ignore[union-attr]
                if bad:
                    told.append((p.piece, f"{' and '.join(dict.fromkeys(d.kind for d in bad))} found in it on {name}"))
    return told
