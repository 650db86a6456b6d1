"""One purchase tried on one draw by the real planner.

It goes as the work does: plan by what is seen, cut board after board, and plan again for what hidden flaws have spoilt.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from yieldopt.luck.drawing_boards import Drawn
from yieldopt.luck.play import Game, Rules, play
from yieldopt.luck.rates import Rates
from yieldopt.sizes.sizing import rough_length, rough_width
from yieldopt.sourcing.lay.quick import Opened, after, lay_out
from yieldopt.sourcing.lay.wants import wants_of
from yieldopt.sourcing.purchase.needs import nearest
from yieldopt.sourcing.ways.buying import plan_parts
from yieldopt.sourcing.ways.way import Offer
from yieldopt.wood.lumber import Board, Job, Part, Shop
from yieldopt.wood.plan import Plan

# Only flaws are drawn: a purchase is not asked to make up for what is spoiled at the bench.
NO_SLIPS = Rates(at_bench=0.0)
# The first plan ends once it is so near the best, or after so many times more than a plan with every part took to find: it
# should be thrifty, as a maker's is, so that something is left to make spoilt parts again from.
NEAR, PATIENCE = 0.05, 0.5
# Share of a trial in which parts are looked for on likely boards only; then they may come from any.
LIKELY = 0.6
# What came of a trial: every part was made; it is proven that not every part can be; the search ended before either.
Answer = Literal["made", "lacking", "not known"]


@dataclass(frozen=True)
class Trial:
    """One draw of one species."""

    job: Job
    parts: tuple[Part, ...]
    # What the rack leaves, and each line's boards in the order they come, with the board feet asked for and the parts that the
    # line is bought for.
    spare: tuple[Opened, ...]
    boards: tuple[tuple[Drawn, ...], ...]
    stock: tuple[float, ...]
    bought_for: tuple[frozenset[str], ...]
    seconds: float
    # Steps of the search where these count, not seconds.
    steps: int | None = None

    def taken(self) -> list[tuple[Drawn, ...]]:
        """The boards of each line that come nearest to what was asked for."""
        found = []
        for some, feet in zip(self.boards, self.stock, strict=True):
            sums = list(itertools.accumulate(float(d.bill.board_feet) for d in some))
            found.append(some[: nearest(sums, feet)] if sums and feet > 0 else ())
        return found


def suffices(t: Trial) -> Answer:
    """Whether every part is made of the rack's leftovers and of the boards asked for."""
    if not t.parts:
        return "made"
    lines = t.taken()
    stock: list[Opened] = [*t.spare, *((d.board, d.hidden) for some in lines for d in some)]
    if sum(_least_wood(p, t.job.shop) * p.qty for p in t.parts) > sum(float(b.area * b.thickness) for b, _ in stock):
        return "lacking"
    boards = tuple(b for b, _ in stock)
    surprises = any(hidden for _, hidden in stock)
    plan = _planned(t, _likely(t, lines).sources(t.parts), boards, LIKELY, not surprises)
    if plan.unplaced:
        plan = _planned(t, t.parts, boards, 1 - LIKELY, not surprises)
    if plan.unplaced:
        return "lacking" if all(reason_is_proof(u.why) for u in plan.unplaced) else "not known"
    if not surprises:
        return "made"
    # Parts that are made anew may come from anywhere.
    job = replace(t.job, parts=t.parts, boards=boards)
    rules = Rules({p.name: p.qty for p in t.parts}, "planned", NO_SLIPS, flaws={b.name: hidden for b, hidden in stock})
    # A draw that gets stuck was planned in few steps: it is no proof.
    return "made" if play(Game(job, plan), rules, "trial", 0).finished else "not known"


def _least_wood(p: Part, shop: Shop) -> float:
    """Cubic inches that a piece takes at least: rough-cut, but staves and pieces of a run as they are finished."""
    finished = p.staves is not None or p.match_kind == "run" or p.grain == "any"
    area = p.length * p.width if finished else rough_length(p, shop) * rough_width(p, shop)
    return float(area * p.thickness)


def _planned(t: Trial, parts: Sequence[Part], boards: Sequence[Board], share: float, first: bool) -> Plan:
    """A plan in a `share` of the trial's time or steps. Where nothing comes to light (`first`) the first plan with every part
    is as good as the best."""
    steps = None if t.steps is None else max(1, round(share * t.steps))
    return plan_parts(t.job, parts, boards, share * t.seconds, 0, first, NEAR, PATIENCE, steps=steps)


def reason_is_proof(why: str) -> bool:
    """Whether a plan's reason for a part without a place is more than that the time was up."""
    return bool(why) and "not proven" not in why and "in the time" not in why


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
