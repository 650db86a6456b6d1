"""Second choices among logged boards: what to take instead where one of those chosen is gone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from yieldopt.ground.deadline import Deadline
from yieldopt.sourcing.choice.offered import Offered, cheapest, to_pay, used_by
from yieldopt.sourcing.lay.rest import again, spares
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.wood.plan import BoardPlan, Piece, Plan
from yieldopt.workers.runner import Runner

# Of the time for a board, how much goes to its own pieces by themselves.
REPAIR = 0.3


@dataclass(frozen=True)
class Instead:
    """What to take if one board of the choice is gone: boards let go and taken, and how much more it costs.

    `more` is None where nothing else covers the job (as far as the planner got in its time).
    """

    gone: str
    without: tuple[str, ...]
    take: tuple[str, ...]
    more: float | None


# How a species' boards are cut; None where that is not at hand whole.
Layouts = tuple[BoardPlan, ...] | None


@dataclass(frozen=True)
class Without:
    """A set of offered boards of one species that does without one of them."""

    gone: str
    species: str
    cost: float
    boards: tuple[str, ...]
    layouts: Layouts


@dataclass(frozen=True)
class _Task:
    """One board gone from a plan: parts, boards and prices of its species alone, since no other has to change."""

    job: Job
    kept: tuple[Board, ...]
    some: tuple[Offered, ...]
    plan: Plan
    gone: Board
    seconds: float
    seed: int
    steps: int | None = None


def _without(w: _Task) -> Without | None:
    """The cheaper of two sets: what the gone board's pieces alone ask for, all else left as it is, and that of a plan of the
    whole species; None where neither was found."""
    left = [o for o in w.some if o.board.name != w.gone.name]
    names = {b.name for b in w.kept} | {o.board.name for o in w.some}
    rest = replace(w.plan, boards=tuple(bp for bp in w.plan.boards if bp.board in names and bp.board != w.gone.name))
    pieces = [p for bp, p in w.plan.pieces() if bp.board == w.gone.name]
    there = spares([*w.kept, *(o.board for o in left)], rest)
    more = [o for o in left if o.board in there]
    # The rack's boards, and what is left of boards bought already, cost nothing more.
    free = [b for b in there if all(b is not o.board for o in more)]
    repaired = cheapest(replace(w.job, parts=_as_parts(w.job, pieces)), free, more, REPAIR * w.seconds, w.seed, steps=w.steps)
    whole = cheapest(w.job, w.kept, left, (1 - REPAIR) * w.seconds, w.seed, steps=w.steps)
    # Pieces that are planned by themselves are named by themselves, so that both plans don't make one.
    ways: list[tuple[frozenset[str], Layouts]] = [] if whole.unplaced else [(used_by(whole), whole.boards)]
    ways += [] if repaired.unplaced else [(used_by(rest) | used_by(repaired), None)]
    found = []
    for used, layouts in ways:
        boards = tuple(o.board.name for o in left if o.board.name in used)
        found.append(Without(w.gone.name, w.gone.species, sum(to_pay(w.job, used, left)[:2]), boards, layouts))
    return min(found, key=lambda x: x.cost, default=None)


def _as_parts(job: Job, pieces: Sequence[Piece]) -> tuple[Part, ...]:
    """Parts that are just these pieces: staves one by one, others counted, their groups as they are."""
    counts = Counter(p.part for p in pieces if p.stave is None)
    staves = again(job, [p for p in pieces if p.stave is not None])
    return (*staves, *(replace(job.part_named[n], qty=k) for n, k in counts.items()))


def sets_without(
    job: Job,
    kept: Sequence[Board],
    offered: Sequence[Offered],
    taken: Sequence[Offered],
    plan: Plan,
    runner: Runner,
    deadline: Deadline,
    seed: int,
    steps: int | None = None,
) -> dict[str, Without | None]:
    """For each of the `taken` boards of a plan of all parts the cheapest set of its species without it, None where there is
    none; those that time did not reach are left out."""
    each = max(2.0, deadline.left * runner.workers / max(1, len(taken)) / 1.5)

    def task(o: Offered) -> _Task:
        species = o.board.species
        parts = tuple(p for p in job.parts if p.species == species)
        mine = tuple(b for b in kept if b.species == species)
        some = tuple(x for x in offered if x.board.species == species)
        return _Task(replace(job, pins=(), parts=parts), mine, some, plan, o.board, each, seed, steps)

    tasks = ((o.board.name, task(o)) for o in taken)
    return dict(runner.run(_without, tasks, deadline, min(each, 2 * deadline.left)))


def told(job: Job, offered: Sequence[Offered], taken: Sequence[Offered], sets: Mapping[str, Without | None]) -> list[Instead]:
    """The sets as changes of what is taken."""
    found = []
    for o in taken:
        name, mine = o.board.name, [x.board.name for x in taken if x.board.species == o.board.species]
        if name not in sets:
            continue
        other = sets[name]
        if other is None:
            found.append(Instead(name, (), (), None))
            continue
        more = other.cost - sum(to_pay(job, set(mine), offered)[:2])
        without = tuple(n for n in mine if n not in other.boards and n != name)
        found.append(Instead(name, without, tuple(n for n in other.boards if n not in mine), more))
    return found


def better(
    job: Job,
    offered: Sequence[Offered],
    taken: Sequence[Offered],
    layouts: Mapping[str, Layouts],
    sets: Mapping[str, Without | None],
) -> tuple[tuple[Offered, ...], dict[str, Layouts], dict[str, Without | None]]:
    """A search that ends by the clock may meet a cheaper set when it looks for second choices: then that is taken, and what
    was taken before is the second choice for what is new in it. Returns what is taken then, its layouts by species, and
    the sets."""
    sets, after = dict(sets), dict(layouts)
    for species in sorted({o.board.species for o in taken}):
        names = tuple(o.board.name for o in taken if o.board.species == species)
        before = sum(to_pay(job, set(names), offered)[:2])
        best = min((w for w in sets.values() if w is not None and w.species == species), key=lambda w: w.cost, default=None)
        if best is None or best.cost >= before - 1e-6:
            continue
        old = Without("", species, before, names, layouts.get(species))
        sets |= {name: replace(old, gone=name) for name in best.boards if name not in names}
        after[species] = best.layouts
        taken = [o for o in offered if o.board.name in best.boards or (o in taken and o.board.species != species)]
    return tuple(taken), after, sets
