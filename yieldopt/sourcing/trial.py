"""One purchase tried on one draw by the real planner.

It goes as the work does: plan by what is seen, cut board after board, and plan again for what hidden flaws have spoilt.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

from yieldopt.fragility.play import Game, Rules, play
from yieldopt.fragility.rates import Rates
from yieldopt.lumber import Board, Job, Part
from yieldopt.sourcing.drawing_boards import Drawn
from yieldopt.sourcing.planned import plan_parts
from yieldopt.sourcing.quick import Opened, after, lay_out
from yieldopt.sourcing.wants import wants_of
from yieldopt.sourcing.ways import Offer

# Only flaws are drawn: a purchase is not asked to make up for what is spoiled at the bench.
NO_SLIPS = Rates(at_bench=0.0)
# The first plan ends once it is so near the best, or after so many times more than a plan with every part took to find: it
# should be thrifty, as a maker's is, so that something is left to make spoilt parts again from.
NEAR, PATIENCE = 0.05, 0.5


@dataclass(frozen=True)
class Trial:
    """One draw of one species."""

    job: Job
    parts: tuple[Part, ...]
    # What the rack leaves, and each line's boards in the order they come, with the feet of the whole purchase and the
    # parts that the line is bought for.
    spare: tuple[Opened, ...]
    boards: tuple[tuple[Drawn, ...], ...]
    feet: tuple[float, ...]
    bought_for: tuple[frozenset[str], ...]
    seconds: float
    # How much of the purchase is there, as a share of it.
    share: float = 1.0


def suffices(t: Trial) -> bool:
    """Whether every part is made of the rack's leftovers and the first `share` of the purchase."""
    if not t.parts:
        return True
    lines: list[list[Drawn]] = []
    for some, feet in zip(t.boards, t.feet, strict=True):
        sums = itertools.accumulate(float(d.bill.board_feet) for d in some)
        lines.append([d for d, upto in zip(some, sums, strict=True) if upto <= t.share * feet + 1e-9])
    stock: list[Opened] = [*t.spare, *((d.board, d.hidden) for some in lines for d in some)]
    wanted = sum(float(p.length * p.width * p.thickness) * p.qty for p in t.parts)
    if wanted > sum(float(b.area * b.thickness) for b, _ in stock):
        return False
    boards = tuple(b for b, _ in stock)
    bound = _likely(t, lines).sources(t.parts)
    plan = plan_parts(t.job, bound, boards, t.seconds, until_gap=NEAR, patience=PATIENCE)
    if plan.unplaced:
        return False
    # Parts that are made anew may come from anywhere.
    job = replace(t.job, parts=t.parts, boards=boards)
    rules = Rules({p.name: p.qty for p in t.parts}, "planned", NO_SLIPS, flaws={b.name: hidden for b, hidden in stock})
    return play(Game(job, plan), rules, "trial", 0).finished


def _likely(t: Trial, lines: Sequence[Sequence[Drawn]]) -> Offer:
    """Where each part is looked for: on the boards of its own line, and wherever a quick layout found a place for it; a
    planner that may look everywhere is slower by far and seldom finds more."""
    wants = wants_of(t.parts, t.job.shop)
    homes: dict[str, set[str]] = {}
    left: list[float] = [w.qty * w.layers for w in wants]

    def lay(board: Board) -> None:
        nonlocal left
        laid = lay_out(wants, left, board, (), t.job.shop)
        left = after(left, laid.copies)
        for stack in laid.stacks:
            homes.setdefault(stack.want.part, set()).add(board.name)

    for board, _ in t.spare:
        lay(board)
    for own, some in sorted(zip(t.bought_for, lines, strict=True), key=lambda x: -max((d.line.nominal for d in x[1]), default=0)):
        for d in some:
            lay(d.board)
        for w in wants:
            if w.part in own and (w.home is None or w.part not in homes):
                homes.setdefault(w.part, set()).update(d.board.name for d in some)
    rack = {b.name for b, _ in t.spare}
    return Offer((), {part: frozenset(names | rack) for part, names in homes.items()})
