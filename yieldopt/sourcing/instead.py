"""Second choices among logged boards: what to take instead where one of those chosen is gone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

from yieldopt.deadline import Deadline
from yieldopt.lumber import Board, Job, Part
from yieldopt.plan import Piece, Plan
from yieldopt.sourcing.offered import Offered, cheapest, to_pay, used_by
from yieldopt.sourcing.rest import again, spares
from yieldopt.sourcing.runner import Runner

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


@dataclass(frozen=True)
class _Task:
    """One board gone from a plan: parts, boards and prices of its species alone, since no other has to change."""

    job: Job
    kept: tuple[Board, ...]
    some: tuple[Offered, ...]
    plan: Plan
    gone: str
    seconds: float
    seed: int


def _second(w: _Task) -> tuple[bool, float, tuple[str, ...]]:
    """Whether the species can do without the board, what it pays then, and for which boards: the cheaper of what the board's
    pieces alone ask for, all else left as it is, and a plan of the whole species."""
    left = [o for o in w.some if o.board.name != w.gone]
    names = {b.name for b in w.kept} | {o.board.name for o in w.some}
    rest = replace(w.plan, boards=tuple(bp for bp in w.plan.boards if bp.board in names and bp.board != w.gone))
    pieces = [p for bp, p in w.plan.pieces() if bp.board == w.gone]
    there = spares([*w.kept, *(o.board for o in left)], rest)
    more = [o for o in left if o.board in there]
    # The rack's boards, and what is left of boards bought already, cost nothing more.
    free = [b for b in there if all(b is not o.board for o in more)]
    repaired = cheapest(replace(w.job, parts=_as_parts(w.job, pieces)), free, more, REPAIR * w.seconds, w.seed)
    ways = []
    if not repaired.unplaced:
        ways.append(used_by(rest) | used_by(repaired))
    whole = cheapest(w.job, w.kept, left, (1 - REPAIR) * w.seconds, w.seed)
    if not whole.unplaced:
        ways.append(used_by(whole))
    best = min(((sum(to_pay(w.job, way, left)[:2]), sorted(way)) for way in ways), default=None)
    if best is None:
        return False, inf, ()
    return True, best[0], tuple(o.board.name for o in left if o.board.name in best[1])


def _as_parts(job: Job, pieces: Sequence[Piece]) -> tuple[Part, ...]:
    """Parts that are just these pieces: staves one by one, others counted, their groups as they are."""
    counts = Counter(p.part for p in pieces if p.stave is None)
    staves = again(job, [p for p in pieces if p.stave is not None])
    return (*staves, *(replace(job.part_named[n], qty=k) for n, k in counts.items()))


@dataclass(frozen=True)
class Without:
    """A set of offered boards of one species that does without one of them."""

    gone: str
    species: str
    cost: float
    boards: tuple[str, ...]


def sets_without(
    job: Job,
    kept: Sequence[Board],
    offered: Sequence[Offered],
    taken: Sequence[Offered],
    plan: Plan,
    runner: Runner,
    deadline: Deadline,
    seed: int,
) -> dict[str, Without | None]:
    """For each of the `taken` boards of a plan of all parts the cheapest set of its species without it, None where there is
    none; those that time did not reach are left out."""
    each = max(2.0, deadline.left * runner.workers / max(1, len(taken)) / 1.5)

    def task(o: Offered) -> _Task:
        species = o.board.species
        parts = tuple(p for p in job.parts if p.species == species)
        mine = tuple(b for b in kept if b.species == species)
        some = tuple(x for x in offered if x.board.species == species)
        return _Task(replace(job, pins=(), parts=parts), mine, some, plan, o.board.name, each, seed)

    tasks = ((o.board, task(o)) for o in taken)
    found = runner.run(_second, tasks, deadline, min(each, 2 * deadline.left))
    return {b.name: Without(b.name, b.species, cost, used) if complete else None for b, (complete, cost, used) in found}


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
    job: Job, offered: Sequence[Offered], taken: Sequence[Offered], sets: Mapping[str, Without | None]
) -> tuple[tuple[Offered, ...], dict[str, Without | None]]:
    """A search that ends by the clock may meet a cheaper set when it looks for second choices: then that is taken, and what
    was taken before is the second choice for what is new in it. Returns what is taken then, and the sets."""
    sets = dict(sets)
    for species in sorted({o.board.species for o in taken}):
        mine = [o for o in taken if o.board.species == species]
        before = sum(to_pay(job, {o.board.name for o in mine}, offered)[:2])
        best = min((w for w in sets.values() if w is not None and w.species == species), key=lambda w: w.cost, default=None)
        if best is None or best.cost >= before - 1e-6:
            continue
        names = tuple(o.board.name for o in mine)
        rest = tuple(o for o in taken if o.board.species != species)
        taken = (*(o for o in offered if o.board.name in best.boards), *rest)
        for name in best.boards:
            if name not in names:
                sets[name] = Without(name, species, before, names)
    return tuple(o for o in offered if o in taken), sets
