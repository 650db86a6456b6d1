"""What to buy so that the job finishes: boards held in reserve, cut only where the stock in hand has no way on left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from statistics import fmean, median

from yieldopt.fragility.robust import RobustSearch, fresh_seed, sure
from yieldopt.fragility.study import Chance, played
from yieldopt.luck.chance import share_error
from yieldopt.luck.drawing_boards import draw_fitting
from yieldopt.luck.play import Outcome
from yieldopt.planning.wood.stock import whole_board
from yieldopt.replanning.keeping import may_give
from yieldopt.wood.lumber import Board, Job, Part, PriceLine
from yieldopt.wood.plan import Plan

# Boards of one line that may be bought, and kinds of part that they are bought for; more is no reserve but another job.
MOST_OF_A_LINE, MOST_PARTS = 3, 6
# Boards of a line looked at until one is long and wide enough.
LOOKED_AT = 60
# The grade of boards whose price sheet nobody gave: most boards of a rack are that, and the rates are those of it.
COMMON = "No. 1 Common"


@dataclass(frozen=True)
class Bought:
    """So many boards of one line, each long and wide enough for any of the parts that they are bought for."""

    line: PriceLine
    parts: tuple[Part, ...]
    count: int


@dataclass(frozen=True)
class Reserve:
    """What is bought, and what came of it on the draws of a candidate."""

    bought: tuple[Bought, ...]
    chance: Chance
    # Means over the draws.
    board_feet: float
    cost: float


def line_for(job: Job, plan: Plan, part: Part) -> PriceLine | None:
    """The cheapest line of the job's price sheets for wood as the part's pieces lie in now; without one, boards like those
    in the rack at their price. None where the part may only come from boards named."""
    if part.sources:
        return None
    there = {e.board for e, p in plan.pieces() if p.part == part.name}
    like = [b for b in job.boards if b.name in there] or [b for b in job.boards if b.species == part.species]
    if not like:
        return None
    nominal = min(b.nominal for b in like)
    lines = [
        line
        for line in job.prices
        if line.species == part.species and line.nominal == nominal and (part.sawn == "any" or part.sawn in line.grade.casefold())
    ]
    if lines:
        return min(lines, key=lambda line: line.price_bf + line.surfacing_bf)
    alike = [b for b in job.boards if b.species == part.species and b.nominal == nominal] or like
    foot = median(b.price / b.board_feet for b in alike if b.board_feet)
    grade = COMMON if part.sawn == "any" else part.sawn
    lengths, widths = sorted(b.length for b in alike), sorted(b.width for b in alike)
    return PriceLine(
        "as in the rack", part.species, alike[0].quarters, nominal, grade, foot, lengths[0], lengths[-1], widths[0], widths[-1]
    )


def drawn(job: Job, bought: Sequence[Bought], draw: str) -> tuple[Board, ...]:
    """The boards as they turn out in one draw: sizes and flaws that the buyer sees by chance, as those of their grade. The
    first of a line are the same however many are bought."""
    boards = []
    for one in bought:
        line = one.line

        def fits(board: Board, parts: tuple[Part, ...] = one.parts) -> bool:
            return all(may_give(job.shop, whole_board(board, job), p) for p in parts)

        for k in range(one.count):
            tries = (draw_fitting(line, f"{draw}/{n}", name_of(line, k), 0.0, "unknown", fits) for n in range(LOOKED_AT))
            found = next((d for d in tries if d is not None), None)
            if found is not None:
                boards.append(replace(found.board, notes={"grade": line.grade}))
    return tuple(boards)


def name_of(line: PriceLine, number: int) -> str:
    """What the board is called in a draw."""
    return f"bought {line.species} {line.quarters} {line.grade} {number + 1}"


def with_reserve(chance: Chance, bought: Sequence[Bought], seed: str, search: RobustSearch) -> Reserve | None:
    """What the draws come to with these boards in reserve; None where time ran out. A draw that finishes without never
    touches them, and one that got stuck goes on from there."""
    c = chance.candidate
    stuck = {o.number: o.stuck for o in chance.outcomes if o.stuck is not None}
    boards = {n: drawn(c.job, bought, f"{seed}/{n}") for n in range(chance.draws)}
    games = [(n, game.with_reserve(boards[n])) for n, game in stuck.items()]
    names = ", ".join(f"{b.count} x {b.line.species} {b.line.quarters}" for b in bought)
    found = played(replace(c, name=f"with {names}"), search.rates, seed, games, search.deadline, search.watch, search.runner)
    if len(found) < len(games):
        return None
    outcomes = tuple(found.get(o.number, o) for o in chance.outcomes)
    feet = {n: sum(float(b.board_feet) for b in bs) for n, bs in boards.items()}
    cost = {n: float(sum((b.price for b in bs), Fraction(0))) for n, bs in boards.items()}
    return Reserve(tuple(bought), Chance(c, outcomes), fmean(feet.values()), fmean(cost.values()))


def what_to_buy(base: Chance, target: float, search: RobustSearch) -> Reserve | None:
    """The cheapest reserve found that is sure of the chance asked for, else the one that finishes most often. None where no
    board helps or time ran out.

    Draws that got stuck are played on with plenty of each line. What they then cut says how much each needs, and boards are
    bought until enough of them have what they need, the cheapest to help first.
    """
    seed = str(search.seed)
    lines = _lines(base)
    plenty = with_reserve(base, [Bought(line, parts, MOST_OF_A_LINE) for line, parts in lines.items()], seed, search)
    if plenty is None or plenty.chance.finished == base.finished:
        return None
    needs = [_cut_of(o, list(lines)) for o in plenty.chance.outcomes if o.reserve_cut]
    best: Reserve | None = None
    for counts in _purchases(needs, [float(line.price_bf * line.nominal) for line in lines]):
        bought = [Bought(line, parts, n) for (line, parts), n in zip(lines.items(), counts, strict=True) if n]
        expected = base.finished + sum(all(a <= b for a, b in zip(need, counts, strict=True)) for need in needs)
        share = expected / base.draws
        if share - share_error(share, base.draws) < target and len(needs) + base.finished > expected:
            continue
        found = with_reserve(base, bought, seed, search)
        if found is None:
            break
        if best is None or found.chance.finished > best.chance.finished:
            best = found
        if sure(found.chance, target):
            break
    return best


def _lines(base: Chance) -> dict[PriceLine, tuple[Part, ...]]:
    """What to try: the line for each part lacking most often, and for which parts."""
    c = base.candidate
    lines: dict[PriceLine, tuple[Part, ...]] = {}
    for name, _ in base.failing.most_common(MOST_PARTS):
        part = c.job.part_named[name]
        line = line_for(c.job, c.plan, part)
        if line is not None:
            lines[line] = (*lines.get(line, ()), part)
    return lines


def _cut_of(o: Outcome, lines: Sequence[PriceLine]) -> tuple[int, ...]:
    """How many boards of each line a draw cut."""
    return tuple(sum(name_of(line, k) in o.reserve_cut for k in range(MOST_OF_A_LINE)) for line in lines)


def _purchases(needs: Sequence[tuple[int, ...]], prices: Sequence[float]) -> Iterator[tuple[int, ...]]:
    """Larger and larger purchases: each gives one more draw what it needs, the one that costs least for each draw helped."""
    have = (0,) * len(prices)
    left = list(needs)
    while left:
        wider = [tuple(max(a, b) for a, b in zip(have, need, strict=True)) for need in left]
        have = min(wider, key=partial(_price_of_help, have, left, prices))
        left = [need for need in left if any(a > b for a, b in zip(need, have, strict=True))]
        yield have


def _price_of_help(
    have: tuple[int, ...], left: Sequence[tuple[int, ...]], prices: Sequence[float], counts: tuple[int, ...]
) -> float:
    """Money for each draw more that has what it needs, were `counts` bought instead of what we `have`."""
    helped = sum(all(a <= b for a, b in zip(need, counts, strict=True)) for need in left)
    return sum((b - a) * p for a, b, p in zip(have, counts, prices, strict=True)) / helped


def on_fresh_draws(reserve: Reserve, tested: Chance, search: RobustSearch) -> Reserve | None:
    """The same reserve on draws that did not choose it; None where time ran out."""
    return with_reserve(tested, reserve.bought, fresh_seed(search), search)
