"""What draws of boards need, line by line, so that every part is made: by quick layouts."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from yieldopt.ground.deadline import Deadline
from yieldopt.luck.drawing_boards import Drawn
from yieldopt.sourcing.lay.quick import Laid, after, lay_out
from yieldopt.sourcing.lay.rest import again, besides, opened, spares, struck, whose
from yieldopt.sourcing.lay.wants import Want, merged, short_parts, wants_of
from yieldopt.sourcing.market.lines import Market
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.wood.plan import Plan
from yieldopt.workers.runner import Runner

# Draws made whatever the clock says.
LEAST = 20
# Draws handed to a process at a time.
CHUNK = 4
# Draws for the purchase are fresh ones, since the lines were chosen on others.
FRESH = 1000


@dataclass(frozen=True)
class Needs:
    """What each draw needed, by price line, as the dealer counts.

    A buyer asked for so many board feet takes as many boards as come nearest to it (`nearest`); `feet` is the least figure with
    which he takes all the boards that the draw needs. Infinite where they don't suffice.
    """

    feet: Mapping[int, Sequence[float]]
    draws: int
    # The board feet of the boards needed, one after another, summed up; what they came to, surcharges and surfacing included; the
    # part that took the last of them.
    sums: Mapping[int, Sequence[tuple[float, ...]]]
    money: Mapping[int, Sequence[float]]
    last: Mapping[int, Sequence[str]]
    # Draws in which some want could not be met at all.
    hopeless: int = 0
    # The number that each draw was made by.
    numbers: Sequence[int] = ()

    @cached_property
    def table(self) -> np.ndarray:
        """`feet` as rows by line, columns by draw."""
        return np.array([list(some) for some in self.feet.values()], dtype=float)

    def boards(self, line: int) -> int:
        """Boards of the line that all draws took together."""
        return sum(map(len, self.sums[line]))

    def taken(self, line: int) -> float:
        """Their board feet."""
        return sum(some[-1] for some in self.sums[line] if some)

    def by_foot(self, line: int) -> float | None:
        """Money a board foot, surcharges and surfacing included, over all draws; None where none took any."""
        taken = self.taken(line)
        return sum(self.money[line]) / taken if taken else None

    def board(self, line: int) -> float | None:
        """Board feet of a board of the line, as they are taken; None where none is."""
        boards = self.boards(line)
        return self.taken(line) / boards if boards else None

    def bought(self, line: int, feet: float) -> float:
        """Board feet that a buyer asked for `feet` of a line comes home with, on average over the draws that tell."""
        known = [some[nearest(some, feet) - 1] for some in self.sums[line] if some and feet <= some[-1]]
        return sum(known) / len(known) if len(known) >= TELLING * self.draws else feet

    def driver(self, line: int) -> str | None:
        """The part for which the last board of a line is taken most often; None where none ever is."""
        names = [n for n in self.last[line] if n]
        return max(sorted(set(names)), key=names.count, default=None)


# Share of draws from which the boards that a figure brings home are averaged.
TELLING = 0.04


# Decimals of a board foot that tell two amounts apart.
HAIRS = 6


def nearest(sums: Sequence[float], feet: float) -> int:
    """How many boards, whose board feet are summed up in `sums`, come nearest to `feet`; one at least, the more of two."""
    return min(range(1, len(sums) + 1), key=lambda n: (round(abs(sums[n - 1] - feet), HAIRS), -n))


def least_for(sums: Sequence[float]) -> float:
    """The least figure with which all of these boards are taken."""
    if not sums:
        return 0.0
    before = sums[-2] if len(sums) > 1 else 0.0
    return (sums[-1] + before) / 2 if before else min(sums[-1], 1.0)


@dataclass(frozen=True)
class Basis:
    """What a purchase has to add to: the rack's plan and what it leaves, and the parts the plan misses."""

    job: Job
    plan: Plan | None
    spare: tuple[Board, ...]
    missing: tuple[Part, ...]

    @staticmethod
    def of(job: Job, plan: Plan | None, missing: Mapping[str, int]) -> Basis:
        """With the rack's plan, or with no rack at all where there is none."""
        spare = spares(job.boards, plan, job.leave) if plan is not None else ()
        return Basis(job, plan, spare, short_parts(job, whole_groups(job, missing)))

    def parts(self, draw: int, market: Market) -> tuple[Part, ...]:
        """Parts wanted in one draw: those missing, and those that hidden flaws spoil in the rack's plan."""
        if self.plan is None:
            return self.missing
        rng = random.Random(f"struck/{market.seed}/{draw}")
        return besides(self.missing, again(self.job, struck(self.job.board_named, self.plan, market.hidden_rate, rng)))

    def on_sale(self, line_of: Mapping[str, int]) -> Basis:
        """The same without the missing parts that no line makes: the others are bought all the same."""
        return replace(self, missing=on_sale(self.missing, line_of))


def on_sale(parts: Sequence[Part], line_of: Mapping[str, int]) -> tuple[Part, ...]:
    """Parts that some line makes; a book, slip or run group goes by its first part (see `wants_of`)."""
    first: dict[str, str] = {}
    for p in parts:
        if p.match and p.match_kind in ("book", "slip", "run"):
            first.setdefault(p.match, p.name)
    return tuple(p for p in parts if whose(first.get(p.match or "", p.name)) in line_of)


@dataclass(frozen=True)
class Drawing:
    """Some draws, made ready for another process."""

    basis: Basis
    line_of: Mapping[str, int]
    market: Market
    draws: range


class LineNeed(NamedTuple):
    """What one draw took of a line."""

    # The least figure that makes a buyer take them; infinite where the line's wants could not be met.
    feet: float = 0.0
    # Board feet of the boards taken, summed up one after another.
    sums: tuple[float, ...] = ()
    # Boards looked at to find those.
    looked: int = 0
    # What they cost, and the part that took the last of them.
    money: float = 0.0
    last: str = ""


Need = dict[int, LineNeed]


def needs_of(d: Drawing) -> list[Need]:
    """Draw boards until each line's wants are met, for each draw."""
    return [_need(d, k) for k in d.draws]


def _need(d: Drawing, draw: int) -> Need:
    wants = _left_after_spares(d.basis, d.line_of, d.market, draw)
    found: Need = dict.fromkeys(sorted(set(d.line_of.values())), LineNeed())
    for k, got, met in d.market.bought_for(wants, d.line_of, FRESH + draw, opened=True):
        boards = [x for x, _ in got]
        sums = tuple(itertools.accumulate(float(x.bill.board_feet) for x in boards))
        money = sum(float(x.bill.cost) for x in boards)
        looked = boards[-1].looked_at if boards else 0
        found[k] = LineNeed(least_for(sums) if met else math.inf, sums, looked, money, _last(got, d.line_of, k))
    return found


def _last(got: Sequence[tuple[Drawn, Laid]], line_of: Mapping[str, int], line: int) -> str:
    """The part of the line's own that the last board taken gave."""
    for _, laid in reversed(got):
        mine = [s.want.part for s in laid.stacks if line_of.get(s.want.part) == line]
        if mine:
            return mine[-1]
    return ""


def taken(basis: Basis, line_of: Mapping[str, int], market: Market, draw: int) -> dict[int, list[Drawn]]:
    """The boards of each line that a draw takes, in their order: with a tape in hand, each is one that some part still
    wanted can come from."""
    wants = _left_after_spares(basis, line_of, market, draw)
    return {k: [x for x, _ in got] for k, got, _ in market.bought_for(wants, line_of, FRESH + draw, opened=True)}


def draw_needs(
    basis: Basis, line_of: Mapping[str, int], market: Market, draws: int, deadline: Deadline, runner: Runner | None = None
) -> Needs:
    """Draw `draws` times or until the deadline (at least twenty times), side by side where there is a runner."""
    chunks = [Drawing(basis, line_of, market, range(k, min(k + CHUNK, draws))) for k in range(0, draws, CHUNK)]
    found: dict[int, Need] = {}
    if runner is not None:
        for first, some in runner.run(needs_of, ((c.draws[0], c) for c in chunks), deadline, 0.0):
            found |= {first + k: need for k, need in enumerate(some)}
    for c in chunks:
        late = deadline.stopped or (deadline.over and len(found) >= LEAST)
        if c.draws[0] not in found and not late:
            found |= {c.draws[0] + k: need for k, need in enumerate(needs_of(c))}
    order = [found[d] for d in sorted(found)]
    feet = {k: [need[k].feet for need in order] for k in sorted(set(line_of.values()))}
    sums = {k: [need[k].sums for need in order] for k in feet}
    money = {k: [need[k].money for need in order] for k in feet}
    last = {k: [need[k].last for need in order] for k in feet}
    hopeless = sum(any(n.feet == math.inf for n in need.values()) for need in order)
    return Needs(feet, len(order), sums, money, last, hopeless, sorted(found))


def _left_after_spares(basis: Basis, line_of: Mapping[str, int], market: Market, draw: int) -> list[Want]:
    """What the rack's own leftovers don't give of a draw's wants, named as `line_of` names them, so far as a line makes it."""
    parts = basis.parts(draw, market)
    wants = merged(replace(w, part=whose(w.part)) for w in wants_of(parts, basis.job.shop))
    left: list[float] = [w.qty * w.layers for w in wants]
    for board, hidden in opened(basis.spare, market.hidden_rate, random.Random(f"spare/{market.seed}/{draw}")):
        if any(left):
            left = after(left, lay_out(wants, left, board, hidden, basis.job.shop).copies)
    short = [replace(w, qty=math.ceil(n / w.layers)) for w, n in zip(wants, left, strict=True) if n > 0]
    return [w for w in short if w.part in line_of]


def whole_groups(job: Job, missing: Mapping[str, int]) -> dict[str, int]:
    """Where one piece of a book, slip or run is missing, the whole group is: the others no longer match."""
    groups = {p.match for p in job.parts if p.match and p.match_kind in ("book", "slip", "run") and missing.get(p.name)}
    return {p.name: p.qty if p.match in groups and p.match else missing.get(p.name, 0) for p in job.parts}
