"""One purchase tried on one draw by the real planner.

It goes as the work does: plan by what is seen, plane, then make what hidden flaws have spoilt again from what is left.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

from yieldopt.lumber import Board, Job, Part
from yieldopt.plan import Piece, Plan
from yieldopt.replanning.hits import spoils
from yieldopt.sourcing.drawing_boards import Drawn
from yieldopt.sourcing.planned import plan_parts
from yieldopt.sourcing.quick import Opened, after, lay_out
from yieldopt.sourcing.rest import again, left_over
from yieldopt.sourcing.wants import wants_of
from yieldopt.sourcing.ways import Offer

# Rounds of planing and making again; a job that still lacks a part then has failed.
ROUNDS = 3


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
    for boards, feet in zip(t.boards, t.feet, strict=True):
        sums = itertools.accumulate(float(d.bill.board_feet) for d in boards)
        lines.append([d for d, upto in zip(boards, sums, strict=True) if upto <= t.share * feet + 1e-9])
    stock: list[Opened] = [*t.spare, *((d.board, d.hidden) for some in lines for d in some)]
    parts, bound = t.parts, _likely(t, lines).sources(t.parts)
    for _ in range(ROUNDS):
        wanted = sum(float(p.length * p.width * p.thickness) * p.qty for p in parts)
        if wanted > sum(float(b.area * b.thickness) for b, _ in stock):
            return False
        plan = plan_parts(t.job, bound, [b for b, _ in stock], t.seconds, first=True)
        if plan.unplaced:
            return False
        job = replace(t.job, parts=parts)
        lost = _spoilt(job, plan, stock)
        if not lost:
            return True
        parts = bound = again(job, lost)
        stock = left_over(stock, plan)
    return False


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


def _spoilt(job: Job, plan: Plan, stock: Sequence[Opened]) -> list[Piece]:
    full = {b.name: replace(b, defects=b.defects + tuple(h)) for b, h in stock}
    return [p for bp, p in plan.pieces() if spoils(job, full[bp.board], p)]
