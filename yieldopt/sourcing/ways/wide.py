"""Wide parts: one wide board, a glue-up from narrow ones, or a strip of another wood glued on, and what each costs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.lengths import show
from yieldopt.luck.chance import mean_and_error
from yieldopt.luck.drawing_boards import WIDTHS
from yieldopt.records.purchase import By
from yieldopt.sizes.sizing import rough_width
from yieldopt.sourcing.lay.wants import wants_of
from yieldopt.sourcing.market.lines import Market, best_lines, line_figures, rarity
from yieldopt.sourcing.ways.buying import Buying, buy
from yieldopt.sourcing.ways.outcome import Outcome
from yieldopt.sourcing.ways.way import Offer, Way, boards_on_offer, quick_outcome
from yieldopt.wood.lumber import Job, Part
from yieldopt.workers.runner import Runner

ONE, GLUED, STRIP = "one wide board", "glued up from narrow boards", "a strip of another wood"
# Staves where the part names none: 3 in is the least a dealer advises, the jointer is the most (quoted rules differ: 3, 4,
# or as wide as the jointer takes).
LEAST_STAVE = Fraction(3)
# A part counts as wide from this width: about what half of boards of 5 to 12 in don't reach. Common practice, no source.
WIDE = Fraction(8)
# A strip is a strip up to this share of the width; wider ones are half the panel.
MOST_STRIP = Fraction(1, 3)
QUICK, PLANNED = 10, 6
# Where plans are counted, the wide parts' share of them.
COUNTED = 0.2


@dataclass(frozen=True)
class Wide:
    """One way to make the width of one part, all copies of it."""

    part: str
    way: str
    # Net cost of all copies and its standard error; None where it can't be done, `why` says why.
    cost: float | None = None
    error: float | None = None
    board_feet: float = 0.0
    # Glue joints in one copy.
    joints: int = 0
    # Widest piece of wood needed as rough-cut, inches.
    widest: float = 0.0
    draws: int = 0
    by: By = "estimate"
    why: str = ""
    # Width of the strip, inches, and its species.
    strip: float = 0.0
    other: str = ""
    # Its boards are so rare that they count for so many times their price.
    rare: float = 1.0


@dataclass(frozen=True)
class Case:
    """What to plan for one way of one part."""

    row: Wide
    parts: tuple[Part, ...]
    way: Way
    market: Market

    def offer(self, draw: int) -> Offer:
        return boards_on_offer(self.market, self.way, wants_of(self.parts, self.market.shop), draw)


def wide_parts(job: Job) -> list[Part]:
    """Parts that may be edge-glued, and single ones from eight inches; matched ones are what they are."""
    return [p for p in job.parts if not p.match and (p.staves is not None or p.width >= WIDE)]


def wide_cases(job: Job, market: Market, runner: Runner, deadline: Deadline) -> list[tuple[Case | None, Wide]]:
    """For each wide part the three ways by quick layouts, with what a planner needs to plan them; None for those that
    can't be, whose rows say why."""
    tasks = (
        (n, (job, market, p, way)) for n, (p, way) in enumerate((p, way) for p in wide_parts(job) for way in (ONE, GLUED, STRIP))
    )
    found = dict(runner.run(_made, tasks, deadline, 0.0))
    return [found[n] for n in sorted(found)]


def _made(task: tuple[Job, Market, Part, str]) -> tuple[Case | None, Wide]:
    job, market, p, way = task
    alone = replace(p, sources=(), staves=None)
    low, high = p.staves or (LEAST_STAVE, max(LEAST_STAVE, job.shop.machines.joint_width - 2 * job.shop.allowances.edge))
    glued = replace(alone, staves=(low, high))
    if way == ONE:
        case = _case(job, market, Wide(p.name, ONE, widest=float(rough_width(alone, job.shop))), (alone,))
    elif way == GLUED:
        case = _case(job, market, _glued_row(p, glued, market), (glued,))
    else:
        case = _strip(job, market, p, glued)
    if isinstance(case, Wide):
        return None, case
    outcomes = [quick_outcome(market, case.way, wants_of(case.parts, market.shop), d) for d in range(QUICK)]
    return case, _row(case.row, outcomes, "estimate")


def _case(job: Job, market: Market, row: Wide, parts: tuple[Part, ...]) -> Case | Wide:
    m = job.shop.machines
    if row.widest > m.planer_width:
        return replace(row, why=f"wider than the planer takes ({show(m.planer_width, job.units)})")
    if row.widest > m.joint_width and m.wide_flattening == "none":
        return replace(row, why=f"wider than can be flattened ({show(m.joint_width, job.units)})")
    wants = wants_of(parts, market.shop)
    lines = best_lines(wants, line_figures(market, wants), market, "thin")
    lost = [w.part for w in wants if w.part not in lines]
    if lost:
        widest = max((_widest(market, p) for p in parts), default=Fraction(0))
        return replace(row, why=f"no line has boards for it (widest on the sheet: {show(widest, job.units)})")
    return Case(row, parts, Way("", lines), market)


def _widest(market: Market, part: Part) -> Fraction:
    return max((line.max_width or WIDTHS[1] for line in market.lines if line.species == part.species), default=Fraction(0))


def _glued_row(p: Part, glued: Part, market: Market) -> Wide:
    (want,) = wants_of((replace(glued, qty=1),), market.shop)
    return Wide(p.name, GLUED, joints=want.qty - 1, widest=float(want.width))


def _strip(job: Job, market: Market, p: Part, glued: Part) -> Case | Wide:
    """As many pieces of the middle of the sheet's widths as go in, and a strip of the cheapest other wood for the rest."""
    edge = 2 * job.shop.allowances.edge
    row = Wide(p.name, STRIP)
    others = sorted({(line.price_bf, line.species) for line in market.lines if line.species != p.species})
    mine = [line for line in market.lines if line.species == p.species]
    if not others or not mine:
        return replace(row, why="the sheet has no other wood" if mine else "no line has boards of its species")
    lows, highs = [x.min_width or WIDTHS[0] for x in mine], [x.max_width or WIDTHS[1] for x in mine]
    usual = min((min(lows) + max(highs)) / 2, job.shop.machines.planer_width) - edge
    cores = max(1, math.floor(p.width / usual))
    if p.width - cores * usual > p.width * MOST_STRIP:
        cores += 1
    strip = max(job.shop.machines.min_rip_width, p.width - cores * usual)
    each = (p.width - strip) / cores
    parts = (
        replace(glued, name=f"{p.name}, core", staves=None, width=each, qty=p.qty * cores),
        replace(glued, name=f"{p.name}, strip", staves=None, width=strip, species=others[0][1], sawn="any"),
    )
    row = replace(row, joints=cores, strip=float(strip), other=others[0][1], widest=float(each + edge))
    return _case(job, market, row, parts)


def planned_wide(
    job: Job,
    cases: Sequence[tuple[Case | None, Wide]],
    runner: Runner,
    deadline: Deadline,
    each: float,
    seed: int,
    steps: int | None = None,
) -> Iterator[list[Wide]]:
    """The rows again with those that were planned in their place, after every plan."""
    rows = [row for _, row in cases]
    got: dict[tuple[int, int], list[Outcome]] = {}
    for (n, d, _), outcome in runner.run(buy, _tasks(job, cases, each, seed, steps), deadline, each, COUNTED):
        got.setdefault((n, d), []).append(outcome)
        c = cases[n][0]
        assert c is not None
        species = len({p.species for p in c.parts})
        whole = [sum(some[1:], some[0]) for (m, _), some in sorted(got.items()) if m == n and len(some) == species]
        if any(o.complete for o in whole):
            rows = [_row(replace(c.row, rare=cases[n][1].rare), whole, "plans") if k == n else r for k, r in enumerate(rows)]
            yield rows


def _tasks(
    job: Job, cases: Sequence[tuple[Case | None, Wide]], each: float, seed: int, steps: int | None
) -> Iterator[tuple[tuple[int, int, str], Buying]]:
    empty = replace(job, boards=(), prices=(), parts=())
    for d in range(PLANNED):
        for n, (c, _) in enumerate(cases):
            if c is not None:
                for s in sorted({p.species for p in c.parts}):
                    offer = c.offer(d)
                    parts = offer.sources(p for p in c.parts if p.species == s)
                    boards = tuple(x for x in offer.boards if x.board.species == s)
                    yield (n, d, s), Buying(empty, parts, boards, frozenset(), each, seed, steps)


def _row(row: Wide, outcomes: Sequence[Outcome], by: By) -> Wide:
    """The row with its figures; quick layouts tell how rare its boards are, and plans take that from them."""
    good = [o for o in outcomes if o.complete]
    if not good:
        return replace(row, why="too many boards would be needed")
    if by == "estimate":
        row = replace(row, rare=rarity(sum(o.looked for o in good), sum(o.boards for o in good)))
    mean, error = mean_and_error([row.rare * o.cost.at(1) for o in good])
    return replace(row, cost=mean, error=error, board_feet=sum(o.board_feet for o in good) / len(good), draws=len(good), by=by)
