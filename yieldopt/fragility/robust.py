"""Plans that stand surprises: spare pieces of the parts that fail most, and risky boards cut first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from yieldopt.deadline import Deadline
from yieldopt.errors import CheckFailed
from yieldopt.fragility.rates import Rates
from yieldopt.fragility.study import Candidate, Chance, Watcher, study
from yieldopt.lumber import Job
from yieldopt.plan import Plan
from yieldopt.replanning.again import replan
from yieldopt.replanning.surprise import Surprise

# Parts for which a spare piece is tried one by one, and spares added in all on the way to a robust plan.
TRIED, MOST_SPARES = 3, 6


@dataclass(frozen=True)
class Search:
    """What a search for robust plans may use."""

    rates: Rates
    draws: int
    seed: int
    # Seconds to plan in once a spare is added.
    seconds: float
    deadline: Deadline
    watch: Watcher | None = None


def needed(job: Job, plan: Plan) -> dict[str, int]:
    """How many of each part finish the job: those asked for, without spares that the plan holds, and those that had a place
    from the start."""
    spares = dict((plan.extra or {}).get("spares") or {})
    without = {u.part: u.qty for u in plan.unplaced}
    return {p.name: max(0, p.qty - int(spares.get(p.name, 0)) - without.get(p.name, 0)) for p in job.parts}


def with_spare(c: Candidate, part: str, search: Search) -> Candidate | None:
    """The candidate with one more piece of a part, a pair more for a book-matched one; None where no wood takes it or the
    part can't have one (a run, a slip group and a colour group are what they are)."""
    row = c.job.part_named[part]
    if row.match_kind in ("run", "slip", "board"):
        return None
    more = 2 if row.match_kind == "book" else 1
    parts = tuple(replace(p, qty=p.qty + more) if p.name == part else p for p in c.job.parts)
    before = {u.part: u.qty for u in c.plan.unplaced}
    try:
        result = replan(c.job, c.plan, Surprise(parts=parts), seconds=search.seconds, seed=search.seed)
    except CheckFailed:
        return None
    if {u.part: u.qty for u in result.plan.unplaced} != before:
        return None
    spares = dict((c.plan.extra or {}).get("spares") or {})
    spares[part] = spares.get(part, 0) + more
    # Spares are part of the plan that is asked for, not a surprise: the revision stays.
    plan = replace(result.plan, revision=c.plan.revision, extra={**(result.plan.extra or {}), "spares": spares})
    names = ", ".join(f"{k} spare {n}" for n, k in spares.items())
    return Candidate(f"{names}, {c.order}", result.job, plan, c.need, c.order)


def ways_to_raise(base: Chance, search: Search) -> list[Chance]:
    """Risky boards first, then a spare of each of the parts that fail most, each on the same draws as `base`."""
    c = base.candidate
    tried = []
    if c.order == "planned":
        tried.append(replace(c, name="risky boards first", order="risky first"))
    for part, _ in base.failing.most_common(TRIED):
        if not search.deadline.over:
            spare = with_spare(c, part, search)
            if spare is not None:
                tried.append(spare)
    return [study(t, search.rates, base.draws, str(search.seed), search.deadline, search.watch) for t in tried]


def robust(base: Chance, others: list[Chance], target: float, search: Search) -> Chance:
    """The cheapest candidate found that finishes with the chance asked for, else the one that finishes most often.

    Spares are added one at a time to the best so far, for the part that fails most in its draws.
    """
    found = [base, *others]
    while not any(f.draws and f.share >= target for f in found) and not search.deadline.over:
        best = max(found, key=lambda f: (f.share, -f.candidate.plan.totals.net_cost))
        spares = sum(dict((best.candidate.plan.extra or {}).get("spares") or {}).values())
        risky = replace(best.candidate, order="risky first")
        grown = next(
            (g for part, _ in best.failing.most_common(TRIED) if (g := with_spare(risky, part, search)) is not None), None
        )
        if grown is None or spares >= MOST_SPARES or any(f.candidate.name == grown.name for f in found):
            break
        found.append(study(grown, search.rates, base.draws, str(search.seed), search.deadline, search.watch))
    good = [f for f in found if f.draws == base.draws and f.share >= target]
    if good:
        return min(good, key=lambda f: (f.candidate.plan.totals.net_cost, -f.share))
    return max(found, key=lambda f: (f.share, -f.candidate.plan.totals.net_cost))


def fresh(c: Candidate, search: Search) -> Chance:
    """The candidate on draws that chose nothing."""
    return study(
        replace(c, name="on fresh draws"), search.rates, search.draws, f"fresh {search.seed}", search.deadline, search.watch
    )


def keeps(tested: Chance, target: float) -> bool:
    """Does a plan keep its promise on fresh draws, within two standard errors?"""
    return tested.share + 2 * tested.error >= target


def cutting_order(c: Candidate, rates: Rates) -> list[str]:
    """Boards in the order they are to be cut."""
    from yieldopt.fragility.play import expected_loss

    boards = [b for b in c.plan.boards if any(p.state != "done" for p in b.pieces)]
    if c.order == "risky first":
        boards.sort(key=lambda b: -expected_loss(c.job, b, rates))
    return [b.board for b in boards]


def marked_robust(chance: Chance, rates: Rates) -> Plan:
    """The plan with what was found of it, under `robust` in its file."""
    c = chance.candidate
    told: Mapping[str, object] = {
        "chance": round(chance.share, 4),
        "error": round(chance.error, 4),
        "draws": chance.draws,
        "order": cutting_order(c, rates),
    }
    return replace(c.plan, extra={**(c.plan.extra or {}), "robust": told})
