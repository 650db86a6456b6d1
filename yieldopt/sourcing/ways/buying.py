"""What the real planner makes of boards on offer, as calls that a process pool or a cluster's executor carries out.

Every plan has passed the independent check before a figure of it is used.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from yieldopt.ground.deadline import Deadline
from yieldopt.luck.drawing_boards import Drawn
from yieldopt.planning.result import Progress
from yieldopt.sourcing.ways.outcome import NOTHING, Outcome, planned_board, rest_of_bundle
from yieldopt.wood.lumber import Board, Job, Part, PriceLine
from yieldopt.wood.plan import Plan

# Plans of one draw end once proven so near the best: far closer than draws lie together.
CLOSE = 0.005
# A plan with every part is searched on for so many times what it took to find it: most of what is to gain comes soon.
PATIENCE = 1.0
# Where steps count, the clock only ends what hangs.
MOST_SECONDS = 86_400.0


def plan_parts(
    job: Job,
    parts: Sequence[Part],
    boards: Sequence[Board],
    seconds: float,
    seed: int = 0,
    first: bool = False,
    until_gap: float = CLOSE,
    patience: float = PATIENCE,
    within: Deadline | None = None,
    threads: int = 1,
    steps: int | None = None,
) -> Plan:
    """Plan some parts on some boards, in `threads` (one, where plans run side by side); `first`: the first plan with every
    part will do. `within` is the deadline of the whole, where it is known. With `steps` the search's steps count, not the
    clock."""
    from yieldopt.planned.checked import plan_checked

    seconds = MOST_SECONDS if steps is not None else seconds
    deadline = within.part(seconds) if within is not None else Deadline(seconds)
    whole: list[float] = []
    calls = itertools.count(1)

    def watch(p: Progress) -> None:
        # A step at a time where steps count, else by the clock, with a second more.
        now, more = (float(next(calls)), 2.0) if steps is not None else (p.seconds, 1.0)
        if p.cost is None:
            return
        whole.append(now)
        if first or now > (1 + patience) * whole[0] + more:
            deadline.stop()

    some = replace(job, parts=tuple(parts), boards=tuple(boards), pins=(), leave=frozenset(), prices=())
    with ThreadPoolExecutor(threads) as workers:
        return plan_checked(
            some,
            seconds=seconds,
            seed=seed,
            until_gap=until_gap,
            observer=watch,
            deadline=deadline,
            executor=workers,
            steps=steps,
        ).plan


def plan_rack(job: Job, seconds: float, seed: int, within: Deadline, steps: int | None = None) -> Plan:
    """The job on its own rack, pins and all; searched on a little once every part has its place."""
    from yieldopt.planned.checked import plan_checked

    if steps is not None:
        return plan_checked(job, seconds=MOST_SECONDS, seed=seed, deadline=within.part(MOST_SECONDS), steps=steps).plan
    deadline = within.part(seconds)
    whole: list[float] = []

    def watch(p: Progress) -> None:
        if p.cost is not None:
            whole.append(p.seconds)
            if p.seconds > (1 + PATIENCE / 2) * whole[0] + 2.0:
                deadline.stop()

    return plan_checked(job, seconds=seconds, seed=seed, observer=watch, deadline=deadline).plan


@dataclass(frozen=True)
class Buying:
    """One species of one way on one draw, made ready to be planned."""

    # Settings only: no parts, boards or prices of its own are looked at.
    job: Job
    # What the rack does not give, to come from boards on offer.
    missing: tuple[Part, ...]
    offer: tuple[Drawn, ...]
    # Boards on offer that may not be resawn.
    whole: frozenset[str]
    seconds: float
    seed: int
    # Steps of the search where these count, not seconds.
    steps: int | None = None
    # All parts of the species and the rack's boards of it, with what the rack's own plan of it costs; no boards: no rack.
    parts: tuple[Part, ...] = ()
    rack: tuple[Board, ...] = ()
    rack_cost: float = 0.0


def buy(b: Buying) -> Outcome:
    """The missing parts from boards on offer, or all parts from rack and offer together, whichever costs less.

    Only boards that the plan cuts are paid for: a buyer leaves the others. The cost is what comes to that of the rack's plan.
    """
    drawn = {d.board.name: d for d in b.offer}
    boards = [replace(d.board, stress="no resaw") if d.board.name in b.whole else d.board for d in b.offer]
    share = 0.4 if b.rack else 1.0
    alone = _outcome(b.job, plan_parts(b.job, b.missing, boards, share * b.seconds, b.seed, steps=b.steps), boards, drawn)
    if not b.rack:
        return alone
    every = [*b.rack, *boards]
    plan = plan_parts(b.job, b.parts, every, (1 - share) * b.seconds, b.seed, steps=b.steps)
    together = _outcome(b.job, plan, every, drawn, b.rack_cost)
    return min((alone, together), key=better)


def better(o: Outcome) -> tuple[bool, float]:
    """Sorts outcomes: those with every part first, then by cost today."""
    return not o.complete, o.cost.at(1)


def _outcome(job: Job, plan: Plan, boards: Sequence[Board], drawn: Mapping[str, Drawn], less: float = 0.0) -> Outcome:
    named = {b.name: b for b in boards}
    total = replace(NOTHING, complete=not plan.unplaced)
    feet: dict[PriceLine, float] = {}
    for bp in plan.boards:
        d = drawn.get(bp.board)
        total += planned_board(job, named[bp.board], bp, d)
        if d is not None:
            feet[d.line] = feet.get(d.line, 0.0) + float(d.bill.board_feet)
    for line, some in feet.items():
        total += rest_of_bundle(line, some, job.shop)
    return replace(total, cost=replace(total.cost, fixed=total.cost.fixed - less))
