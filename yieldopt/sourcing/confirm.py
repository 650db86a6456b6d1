"""How much to buy, by the real planner: on each draw the least share of a purchase on which it makes every part.

A draw goes as the work does: plan by what is seen, plane, then make what hidden flaws have spoilt again from what is left.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from yieldopt.deadline import Deadline
from yieldopt.lumber import Job, Part
from yieldopt.plan import Plan
from yieldopt.replanning.hits import spoils
from yieldopt.sourcing.chance import share_error
from yieldopt.sourcing.drawing_boards import Drawn
from yieldopt.sourcing.market import Market, by_line
from yieldopt.sourcing.planned import plan_parts
from yieldopt.sourcing.purchase import FRESH, Basis, Purchase
from yieldopt.sourcing.quick import Opened
from yieldopt.sourcing.rest import again, opened, spares
from yieldopt.sourcing.runner import Runner
from yieldopt.sourcing.wants import Want, short_parts, wants_of

# Shares of the quick layouts' purchase that are tried, species by species.
LADDER = (0.25, 0.4, 0.55, 0.7, 0.85, 1.0, 1.2)
FULL = LADDER.index(1.0)
# Draws from which the planner's own purchase is good for a chance of one in twenty.
GOOD = 20


@dataclass(frozen=True)
class Trial:
    """One draw of one species."""

    job: Job
    parts: tuple[Part, ...]
    # What the rack leaves, and each line's boards in the order they come, with the feet of the whole purchase.
    spare: tuple[Opened, ...]
    boards: tuple[tuple[Drawn, ...], ...]
    feet: tuple[float, ...]
    seconds: float


@dataclass(frozen=True)
class Confirmed:
    """What the planner says of purchases."""

    # Draws planned, and how many of them the quick layouts' purchase sufficed for (all species at once).
    draws: int
    chance: float
    error: float
    # The least purchase by the planner: feet by line, its chance and error; None where no tried one suffices often enough.
    feet: Mapping[int, float] | None
    least_chance: float = 0.0
    least_error: float = 0.0
    # (board feet, chance) of the ladder, every species alike.
    curve: tuple[tuple[float, float], ...] = ()

    @property
    def enough_draws(self) -> bool:
        return self.draws >= GOOD


def least_rung(t: Trial) -> int:
    """The least rung of the ladder on which the planner makes every part, `len(LADDER)` where none does; more wood is
    taken never to do worse."""
    if not t.parts:
        return 0
    low, high, middle = 0, len(LADDER), FULL
    while low < high:
        if suffices(t, LADDER[middle]):
            high = middle
        else:
            low = middle + 1
        middle = (low + high) // 2
    return low


def suffices(t: Trial, share: float) -> bool:
    """Whether every part is made of the rack's leftovers and the first `share` of the purchase."""
    stock = list(t.spare)
    for boards, feet in zip(t.boards, t.feet, strict=True):
        sums = itertools.accumulate(float(d.bill.board_feet) for d in boards)
        stock += [(d.board, d.hidden) for d, upto in zip(boards, sums, strict=True) if upto <= share * feet + 1e-9]
    for _ in range(3):
        wanted = sum(float(p.length * p.width * p.thickness) * p.qty for p in t.parts)
        if wanted > sum(float(b.area * b.thickness) for b, _ in stock):
            return False
        plan = plan_parts(t.job, t.parts, [b for b, _ in stock], t.seconds, first=True)
        if plan.unplaced:
            return False
        job = replace(t.job, parts=t.parts)
        lost = _spoilt(job, plan, stock)
        if not lost:
            return True
        t = replace(t, parts=again(job, lost))
        hidden = {b.name: h for b, h in stock}
        # A flaw not yet found in a kept offcut is looked for no further: its chance is small beside the board's.
        stock = [(b, hidden.get(b.name, ())) for b in spares([b for b, _ in stock], plan)]
    return False


def _spoilt(job: Job, plan: Plan, stock: Sequence[Opened]) -> list:  # type: ignore[type-arg]
    full = {b.name: replace(b, defects=b.defects + tuple(h)) for b, h in stock}
    return [p for bp, p in plan.pieces() if spoils(job, full[bp.board], p)]


def confirm(
    basis: Basis,
    purchase: Purchase,
    line_of: Mapping[str, int],
    market: Market,
    chance: float,
    draws: int,
    runner: Runner,
    deadline: Deadline,
    each: float,
    say: Callable[[str], None],
) -> Confirmed | None:
    """Plan draw after draw until the deadline; None where not one draw was planned for every species."""
    species = sorted(
        {market.lines[k].species for k, feet in purchase.feet.items() if feet > 0} | {p.species for p in basis.missing}
    )
    if not species:
        return None
    rungs: dict[str, list[int]] = {s: [] for s in species}
    done = 0
    for (s, _), rung in runner.run(least_rung, _trials(basis, purchase, line_of, market, species, draws, each), deadline, each):
        rungs[s].append(rung)
        if (n := min(map(len, rungs.values()))) > done:
            done = n
            say(f"purchase planned on {n} draws; {deadline.left:.0f} s of it left")
    return weigh(rungs, {s: {k: f for k, f in purchase.feet.items() if market.lines[k].species == s} for s in species}, chance)


def _trials(
    basis: Basis, purchase: Purchase, line_of: Mapping[str, int], market: Market, species: Sequence[str], draws: int, each: float
) -> Iterator[tuple[tuple[str, int], Trial]]:
    job = replace(basis.job, boards=(), prices=(), parts=())
    mine = by_line(wants_of(short_parts(basis.job, {p.name: p.qty for p in basis.job.parts}), basis.job.shop), line_of)
    for d in range(draws):
        parts = basis.parts(d, market.seed, market.hidden)
        spare = opened(basis.spare, market.hidden, random.Random(f"spare/{market.seed}/{d}"))
        for s in species:
            feet = {k: f for k, f in purchase.feet.items() if market.lines[k].species == s and f > 0}
            yield (
                (s, d),
                Trial(
                    job,
                    tuple(p for p in parts if p.species == s),
                    tuple(x for x in spare if x[0].species == s),
                    tuple(_upto(market, k, d, mine[k], LADDER[-1] * f) for k, f in feet.items()),
                    tuple(feet.values()),
                    each,
                ),
            )


def _upto(market: Market, line: int, draw: int, wants: Sequence[Want], feet: float) -> tuple[Drawn, ...]:
    found: list[Drawn] = []
    total = 0.0
    for drawn in market.fitting(line, FRESH + draw, wants):
        found.append(drawn)
        total += float(drawn.bill.board_feet)
        if total > feet:
            break
    return tuple(found)


def weigh(rungs: Mapping[str, Sequence[int]], feet: Mapping[str, Mapping[int, float]], chance: float) -> Confirmed | None:
    """From the rung that each draw of each species needed: the chance of each rung, and the least feet with the chance asked.

    Species are drawn independently, so that chances multiply; `feet` is the whole purchase by species and line.
    """
    n = min((len(some) for some in rungs.values()), default=0)
    if n == 0:
        return None
    names = sorted(rungs)
    share = {s: [sum(r <= k for r in rungs[s]) / len(rungs[s]) for k in range(len(LADDER))] for s in names}

    def together(at: Sequence[int]) -> tuple[float, float]:
        met = math.prod(share[s][k] for s, k in zip(names, at, strict=True))
        # The relative errors of a product's factors add up in squares.
        error = math.sqrt(
            sum((share_error(share[s][k], len(rungs[s])) / max(share[s][k], 0.05)) ** 2 for s, k in zip(names, at, strict=True))
        )
        return met, met * error

    def amount(at: Sequence[int]) -> float:
        return sum(LADDER[k] * sum(feet[s].values()) for s, k in zip(names, at, strict=True))

    rungs_of = [[k for k in range(len(LADDER)) if share[s][k] >= chance] for s in names]
    good = (
        [at for at in itertools.product(*rungs_of) if together(at)[0] >= chance - 1e-9]
        if len(names) <= 5
        else [(k,) * len(names) for k in range(len(LADDER)) if together((k,) * len(names))[0] >= chance - 1e-9]
    )
    curve = tuple((amount((k,) * len(names)), together((k,) * len(names))[0]) for k in range(len(LADDER)))
    least = min(good, key=lambda at: (amount(at), at), default=None)
    found = None
    if least is not None:
        found = {line: LADDER[k] * f for s, k in zip(names, least, strict=True) for line, f in feet[s].items()}
    return Confirmed(n, *together((FULL,) * len(names)), found, *(together(least) if least is not None else (0.0, 0.0)), curve)
