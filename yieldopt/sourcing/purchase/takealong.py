"""What the list to take along says beyond board feet: the bill, two trips, a budget, packs against loose boards."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.lay.wants import Want, line_makes, wants_of
from yieldopt.sourcing.market.lines import Market, by_line
from yieldopt.sourcing.purchase.needs import Basis, Needs, nearest
from yieldopt.sourcing.purchase.outlay import Try, outlay
from yieldopt.sourcing.purchase.smallest import Purchase, smallest

# How often the first of two trips should suffice: as likely as not.
FIRST_TRIP = 0.5
# Chances that a budget is held against, the best first.
CHANCES = tuple(x / 100 for x in (99, 98, 97, 95, 92, 90, 85, 80, 75, 70, 60, 50, 40, 30, 20, 10, 5))


@dataclass(frozen=True)
class Account:
    """One dealer's bill."""

    dealer: str
    wood: float
    delivery: float
    tax: float

    @property
    def total(self) -> float:
        return self.wood + self.delivery + self.tax


def accounts(money: Mapping[int, float], market: Market, asked: Asked) -> list[Account]:
    """A bill for each dealer that something is bought from; tax on wood and delivery alike."""
    wood: dict[str, float] = {}
    for k, some in money.items():
        if some > 0:
            wood[market.lines[k].dealer] = wood.get(market.lines[k].dealer, 0.0) + some
    return [Account(name, some, asked.delivery, asked.tax * (some + asked.delivery)) for name, some in wood.items()]


def total(purchase: Purchase, market: Market, asked: Asked) -> float:
    """All that a purchase costs, delivery and tax included."""
    return sum(a.total for a in accounts(purchase.money, market, asked))


@dataclass(frozen=True)
class Trips:
    """A smaller first purchase, and what is fetched in those draws in which it is too little; means over all draws."""

    first: Purchase
    # Share of draws with a second trip, and board feet then; on average over all draws, both trips together.
    again: float
    then: float
    both: float


def two_trips(needs: Needs, market: Market) -> Trips | None:
    """None where no first purchase suffices half the time."""
    first = smallest(needs, FIRST_TRIP, market)
    if first is None:
        return None
    short = []
    for d in range(needs.draws):
        lacking = [k for k, some in needs.feet.items() if some[d] > first.stock[k] + 1e-9]
        if any(needs.feet[k][d] == math.inf for k in lacking):
            continue
        # At home it is known which boards were taken: the rest of those that the draw needs is fetched.
        short.append(sum(needs.sums[k][d][-1] - _had(needs.sums[k][d], first.stock[k]) for k in lacking))
    more = [x for x in short if x > 0]
    then = sum(more) / len(more) if more else 0.0
    share = len(more) / len(short) if short else 0.0
    return Trips(first, share, then, first.board_feet + share * then)


def _had(sums: Sequence[float], feet: float) -> float:
    return sums[nearest(sums, feet) - 1] if feet > 0 else 0.0


@dataclass(frozen=True)
class Budget:
    """The surest purchase that the money pays for; None: not even the least one."""

    money: float
    purchase: Purchase | None
    cost: float = 0.0


def within_budget(needs: Needs, market: Market, asked: Asked) -> Budget | None:
    """None where no budget was named."""
    if asked.budget is None:
        return None
    for chance in CHANCES:
        found = smallest(needs, chance, market)
        if found is not None and (cost := total(found, market, asked)) <= asked.budget:
            return Budget(asked.budget, found, cost)
    return Budget(asked.budget, None)


@dataclass(frozen=True)
class Form:
    """The same wood in its other form: a line in use, a line of the same wood sold by the pack or loose, and the outlay by each
    for all that the species needs."""

    line: int
    other: int
    outlay: float
    other_outlay: float


def other_forms(basis: Basis, line_of: Mapping[str, int], market: Market, chance: float) -> Iterator[Form]:
    """For each line in use the cheapest of the other form that makes all of its parts, if there is one."""
    wants = wants_of(basis.missing, basis.job.shop)
    for k, mine in sorted(by_line(wants, line_of).items()):
        line = market.lines[k]
        others = [
            j
            for j, x in enumerate(market.lines)
            if (x.species, x.nominal) == (line.species, line.nominal)
            and bool(x.bundle_bf) != bool(line.bundle_bf)
            and all(line_makes(w, x, market.shop, market.stress) for w in mine)
        ]
        if not others:
            continue
        now = _species_outlay(basis, wants, line_of, line.species, market, chance)
        moved = {j: {**line_of, **dict.fromkeys((w.part for w in mine), j)} for j in others}
        cost = {j: _species_outlay(basis, wants, m, line.species, market, chance) for j, m in moved.items()}
        best = min(cost, key=lambda j: (cost[j], j))
        if now < math.inf and cost[best] < math.inf:
            yield Form(k, best, now, cost[best])


def _species_outlay(
    basis: Basis, wants: Sequence[Want], line_of: Mapping[str, int], species: str, market: Market, chance: float
) -> float:
    mine = {w.part: line_of[w.part] for w in wants if w.species == species and w.part in line_of}
    alone = Basis(basis.job, None, (), tuple(p for p in basis.missing if p.species == species))
    return outlay(Try(alone, mine, market, chance))


@dataclass(frozen=True)
class Figure:
    """The parts of a purchase, board feet by line: adding up to what is to be bought.

    What an average draw uses if nothing comes to light; what more it takes to be sure of the boards' luck; what hidden flaws
    add; what the planner saves against quick layouts; what was not settled in the planner's time.
    """

    used: Mapping[int, float]
    luck: Mapping[int, float]
    surprises: Mapping[int, float]
    planning: Mapping[int, float]
    not_settled: Mapping[int, float]


def figure(bought: Purchase, quick: Purchase, plain: Needs, chance: float, least: Mapping[int, float], market: Market) -> Figure:
    """`bought` is what is told, `quick` the quick layouts' own, `plain` the needs of the same draws without hidden flaws, `least`
    the board feet that would do were every unsettled trial a success."""
    lines = [k for k, f in quick.feet.items() if f > 0 or bought.feet.get(k, 0.0) > 0]
    used = {k: plain.taken(k) / plain.draws if plain.draws else 0.0 for k in lines}
    sure = smallest(plain, chance, market)
    calm = sure.feet if sure is not None else quick.feet
    settled = {k: min(bought.feet[k], least.get(k, bought.feet[k])) for k in lines}
    return Figure(
        used,
        {k: calm[k] - used[k] for k in lines},
        {k: quick.feet[k] - calm[k] for k in lines},
        {k: settled[k] - quick.feet[k] for k in lines},
        {k: bought.feet[k] - settled[k] for k in lines},
    )
