"""Plans that stand surprises: spare pieces of the parts that fail most, and risky boards cut first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from yieldopt.checking import check
from yieldopt.fragility.study import Candidate, Chance, Watcher, beginning, played, study
from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import CheckFailed
from yieldopt.luck.at_the_saw import expected_loss
from yieldopt.luck.play import Game, Outcome
from yieldopt.luck.rates import Rates
from yieldopt.records.sections import Reserve, Robust, Spares, Standing
from yieldopt.replanning.again import replan
from yieldopt.replanning.bench import Bench
from yieldopt.replanning.candidate import way_on
from yieldopt.replanning.lost import standing
from yieldopt.replanning.noted import noted
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan
from yieldopt.workers.runner import Runner

# Parts for which a spare piece is tried one by one, and spares added in all on the way to a robust plan.
TRIED, MOST_SPARES = 3, 6


@dataclass(frozen=True)
class RobustSearch:
    """What a search for robust plans may use."""

    rates: Rates
    draws: int
    seed: int
    # Seconds to plan in once a spare is added.
    seconds: float
    deadline: Deadline
    watch: Watcher | None = None
    # Processes for the draws; None: one draw after the other.
    runner: Runner | None = None


def spares_of(plan: Plan) -> Mapping[str, int]:
    """How many pieces of each part are spares."""
    said = plan.section(Spares)
    return said.value if said else {}


def needed(job: Job, plan: Plan) -> dict[str, int]:
    """How many of each part finish the job: those asked for, without spares that the plan holds, and those that had a place
    from the start."""
    spares = spares_of(plan)
    without = {u.part: u.qty for u in plan.unplaced}
    return {p.name: max(0, p.qty - spares.get(p.name, 0) - without.get(p.name, 0)) for p in job.parts}


def with_spare(c: Candidate, part: str, search: RobustSearch) -> Candidate | None:
    """The candidate with one more piece of a part, a pair more for a book-matched one; None where no wood takes it or the
    part can't have one (a run, a slip group and a colour group are what they are)."""
    row = c.job.part_named[part]
    if row.match_kind in ("run", "slip", "board"):
        return None
    more = 2 if row.match_kind == "book" else 1
    parts = tuple(replace(p, qty=p.qty + more) if p.name == part else p for p in c.job.parts)
    job = replace(c.job, parts=parts)
    before = {u.part: u.qty for u in c.plan.unplaced}
    # Nothing moves for it if it fits in what is left over; that is also soonest found.
    plan = way_on(standing(job, c.plan, noted(c.plan, Surprise())), frozenset(), True, search.seconds, search.seed).plan
    if {u.part: u.qty for u in plan.unplaced} != before or check(job, plan):
        try:
            result = replan(c.job, c.plan, Surprise(parts=parts), seconds=search.seconds, seed=search.seed)
        except CheckFailed:
            return None
        job, plan = result.job, result.plan
    if {u.part: u.qty for u in plan.unplaced} != before:
        return None
    spares = dict(spares_of(c.plan))
    spares[part] = spares.get(part, 0) + more
    # Spares are part of the plan that is asked for, not a surprise: the revision stays.
    plan = replace(plan.saying(Spares(spares)), revision=c.plan.revision)
    names = ", ".join(f"{k} spare {n}" for n, k in spares.items())
    return Candidate(f"{names}, {c.order}", job, plan, c.need, c.order)


def ways_to_raise(base: Chance, search: RobustSearch) -> list[Chance]:
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
    return [rival(t, base, search) for t in tried]


def rival(c: Candidate, base: Chance, search: RobustSearch) -> Chance:
    """The candidate on the draws of `base`: first those that fail there. Where all of these fail again it can't be better,
    and the others are taken to end as they did."""
    start = beginning(c)
    failed = [o.number for o in base.outcomes if not o.finished]
    found = _played(c, failed, search, start)
    if len(found) < len(failed):
        return Chance(c, ())
    if failed and not any(o.finished for o in found.values()):
        same = {o.number: o for o in base.outcomes}
        return Chance(c, tuple({**same, **found}[n] for n in range(base.draws)))
    others = [o.number for o in base.outcomes if o.finished]
    found.update(_played(c, others, search, start))
    return Chance(c, tuple(found[n] for n in range(base.draws))) if len(found) == base.draws else Chance(c, ())


def _played(c: Candidate, numbers: Iterable[int], search: RobustSearch, start: Game) -> dict[int, Outcome]:
    return played(c, search.rates, str(search.seed), [(n, start) for n in numbers], search.deadline, search.watch, search.runner)


def sure(chance: Chance, target: float) -> bool:
    """Has it the chance asked for, by more than its standard error? Plans are chosen by their luck in these draws too, so
    one that has it only just would break its promise half the time."""
    return chance.draws > 0 and chance.share - chance.error >= target


def robust(base: Chance, others: list[Chance], target: float, search: RobustSearch) -> Chance:
    """The cheapest candidate found that is sure of the chance asked for, else the one that finishes most often.

    Spares are added one at a time to the best so far: of the parts that fail most in its draws the one that raises it most.
    """
    found = [f for f in (base, *others) if f.draws == base.draws]
    while not any(sure(f, target) for f in found) and not search.deadline.over:
        best = max(found, key=_rank)
        spares = sum(spares_of(best.candidate.plan).values())
        if spares >= MOST_SPARES:
            break
        names = {f.candidate.name for f in found}
        grown = (with_spare(best.candidate, part, search) for part, _ in best.failing.most_common(TRIED))
        new = [rival(g, best, search) for g in grown if g is not None and g.name not in names]
        new = [f for f in new if f.draws == base.draws]
        found += new
        if not any(_rank(f) > _rank(best) for f in new):
            break
    good = [f for f in found if sure(f, target)]
    if good:
        return min(good, key=lambda f: (f.candidate.plan.totals.net_cost, -f.share))
    return max(found, key=_rank)


def _rank(chance: Chance) -> tuple[float, float]:
    return chance.share, -chance.candidate.plan.totals.net_cost


def fresh(c: Candidate, search: RobustSearch) -> Chance:
    """The candidate on draws that chose nothing."""
    again = replace(c, name="on fresh trials")
    return study(again, search.rates, search.draws, fresh_seed(search), search.deadline, search.watch, search.runner)


def fresh_seed(search: RobustSearch) -> str:
    return f"fresh {search.seed}"


def keeps(tested: Chance, target: float) -> bool:
    """Does a plan keep its promise on fresh draws, within two standard errors?"""
    return tested.share + 2 * tested.error >= target


def cutting_order(c: Candidate, rates: Rates) -> list[str]:
    """Boards in the order they are to be cut."""
    boards = [b for b in c.plan.boards if any(p.state != "done" for p in b.pieces)]
    if c.order == "risky first":
        boards.sort(key=lambda b: -expected_loss(c.job, Bench(c.job.board_named[b.board], b), rates))
    return [b.board for b in boards]


def marked_robust(chance: Chance, rates: Rates, reserve: Reserve | None = None) -> Plan:
    """The plan with what was found of it, under `robust` in its file, and under `reserve` there what to buy."""
    c = chance.candidate
    order = tuple(cutting_order(c, rates))
    return c.plan.saying(Robust(Standing(round(chance.share, 4), round(chance.error, 4), chance.draws, order, reserve)))
