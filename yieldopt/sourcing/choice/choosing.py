"""Which of the dealer's own boards, once they are logged: the cheapest set that covers the job, and second choices."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from yieldopt.checking import check
from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import CheckFailed
from yieldopt.replanning.money import priced, totals
from yieldopt.sourcing.choice.instead import Instead, Layouts, better, sets_without, told
from yieldopt.sourcing.choice.offered import PROVEN, Offered, bundled, cheapest, to_pay, used_by
from yieldopt.sourcing.lay.rest import spares
from yieldopt.sourcing.lay.wants import short_parts
from yieldopt.sourcing.purchase.needs import whole_groups
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Plan
from yieldopt.workers.runner import Runner

# Combinations of bundled lines that are tried; each is a plan of its own.
MOST_COMBINATIONS = 8
# Of the time: the set itself; of what is left the second choices; of what is left then a species on
# its boards, and a plan on all that were chosen.
FIRST, SECOND, ON_SET, ON_ALL = 0.5, 0.6, 0.4, 0.7


@dataclass(frozen=True)
class Chosen:
    """The cheapest set found."""

    boards: tuple[Offered, ...]
    # To pay, bundles included, and what no set can go below; None: not proven.
    cost: float
    bound: float | None
    # Board feet that bundles add, by line.
    bundles: Mapping[int, float]
    unplaced: tuple[tuple[str, int], ...]
    # The plan on rack and chosen boards; all boards of the job as planned.
    plan: Plan | None
    job: Job
    instead: tuple[Instead, ...] = ()


def choose(
    job: Job,
    offered: Sequence[Offered],
    runner: Runner,
    deadline: Deadline,
    seed: int,
    say: Callable[[str], None],
    rack: Plan | None = None,
    steps: int | None = None,
    second: bool = True,
) -> Chosen:
    """The set of offered boards that costs least and covers the job together with the rack, then second choices.

    `second` False: only the set and its cost, no second choices and no plan. With `steps` the search's steps count.

    Where the whole is too much for the time, what a plan on the `rack` alone misses is planned on what it leaves and the
    boards on offer: a set that may not be the cheapest, and no bound.
    """
    kept = [b for b in job.boards if b.name not in job.leave]
    closings = _closings(job, offered)
    each = FIRST * deadline.left / len(closings)
    best: tuple[tuple[bool, int, float], Plan, float, dict[int, float], tuple[Job, list[Board]]] | None = None
    for closed in closings:
        some = [o for o in offered if o.line not in closed]
        plan = cheapest(job, kept, some, max(1.0, each), seed, deadline, runner.workers, steps)
        alone = (job, kept)
        if plan.unplaced and rack is not None:
            # What the rack's plan misses, from what that plan leaves and the boards on offer.
            short = short_parts(job, whole_groups(job, {u.part: u.qty for u in rack.unplaced}))
            less = (replace(job, parts=short, pins=()), list(spares(job.boards, rack, job.leave)))
            rest = cheapest(*less, some, max(1.0, each / 2), seed, deadline, runner.workers, steps)
            if sum(u.qty for u in rest.unplaced) < sum(u.qty for u in plan.unplaced):
                plan, alone = replace(rest, totals=replace(rest.totals, bound=None)), less
        cost, more, bundles = to_pay(job, used_by(plan), some)
        key = (bool(plan.unplaced), sum(u.qty for u in plan.unplaced), cost + more)
        if best is None or key < best[0]:
            best = (key, plan, cost + more, bundles, alone)
        if deadline.stopped:
            break
    assert best is not None
    _, plan, pay, bundles, (base, base_kept) = best
    taken = tuple(o for o in offered if o.board.name in used_by(plan))
    say(f"chosen: {len(taken)} of the dealer's {len(offered)} boards, {pay:.2f}")
    if plan.unplaced:
        return Chosen(taken, pay, None, bundles, tuple((u.part, u.qty) for u in plan.unplaced), None, _with(job, taken))
    if not second:
        return Chosen(taken, pay, plan.totals.bound, bundles, (), None, _with(job, taken))
    step = deadline.part(SECOND * deadline.left)
    sets = sets_without(base, base_kept, offered, taken, plan, runner, step, seed, steps)
    # A plan for what the rack misses is none of the job, and pins are not looked at where prices alone count.
    layouts = _by_species(job, offered, plan) if base is job and not job.pins else {}
    taken, layouts, sets = better(job, offered, taken, layouts, sets)
    whole = _with(job, taken)
    layouts = {s: some or _on_set(job, kept, taken, s, deadline, seed, steps) for s, some in layouts.items()}
    ways = (_as_found(whole, layouts), _on_all(whole, deadline, seed, steps))
    final = min((p for p in ways if p is not None), key=lambda p: p.totals.net_cost, default=None)
    cost, more, bundles = to_pay(job, {o.board.name for o in taken}, offered)
    bound = plan.totals.bound if not bundled(job, offered) else None
    return Chosen(taken, cost + more, bound, bundles, (), final, whole, tuple(told(job, offered, taken, sets)))


def _with(job: Job, taken: Sequence[Offered]) -> Job:
    """The job with these boards on its rack."""
    return replace(job, boards=(*job.boards, *(o.board for o in taken)))


def _by_species(job: Job, offered: Sequence[Offered], plan: Plan) -> dict[str, Layouts]:
    of = {b.name: b.species for b in (*job.boards, *(o.board for o in offered))}
    return {s: tuple(bp for bp in plan.boards if of[bp.board] == s) for s in {p.species for p in job.parts}}


def _on_set(
    job: Job,
    kept: Sequence[Board],
    taken: Sequence[Offered],
    species: str,
    within: Deadline,
    seed: int,
    steps: int | None,
) -> Layouts:
    """A species laid out on the boards chosen of it, where they were found piece by piece."""
    some = replace(job, parts=tuple(p for p in job.parts if p.species == species))
    mine = [o for o in taken if o.board.species == species]
    plan = cheapest(some, [b for b in kept if b.species == species], mine, ON_SET * within.left, seed, within, steps=steps)
    return None if plan.unplaced else plan.boards


def _as_found(job: Job, layouts: Mapping[str, Layouts]) -> Plan | None:
    """The job cut as the species were planned, at the boards' own costs; None where a species' layouts are not at hand.
    Raises `CheckFailed` if the check refuses it."""
    some = [layouts.get(s) for s in sorted({p.species for p in job.parts})]
    boards = tuple(priced(job, bp) for bps in some if bps is not None for bp in bps)
    if None in some:
        return None
    plan = Plan(job.name, job.units, boards, (), totals(job, boards, {}, None, 0.0))
    if findings := check(job, plan):
        raise CheckFailed([str(f) for f in findings])
    return plan


def _on_all(job: Job, within: Deadline, seed: int, steps: int | None) -> Plan | None:
    """The job on rack and chosen boards at their own costs, what to cut once they are home; None where time was too short."""
    from yieldopt.planned.checked import plan_checked

    if within.stopped:
        return None
    deadline = within.part(max(1.0, ON_ALL * within.left))
    plan = plan_checked(job, seconds=deadline.left, seed=seed, deadline=deadline, until_gap=PROVEN, steps=steps).plan
    return None if plan.unplaced else plan


def _closings(job: Job, offered: Sequence[Offered]) -> list[frozenset[int | None]]:
    """Sets of bundled lines to do without: with a least quantity to pay, fewer lines can be cheaper."""
    lines = bundled(job, offered)
    sets = itertools.chain.from_iterable(itertools.combinations(lines, n) for n in range(len(lines) + 1))
    return [frozenset(s) for s in itertools.islice(sets, MOST_COMBINATIONS)]
