"""The ways to buy for a job, each costed on the same draws: by quick layouts, and by the planner where time allows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.lumber import Job, Part
from yieldopt.sourcing.drawing_boards import Drawn
from yieldopt.sourcing.market import THICK, Market, by_line
from yieldopt.sourcing.turning import Cost
from yieldopt.sourcing.wants import Want

# Plans of one draw end once proven so near the best: far closer than draws lie together.
CLOSE = 0.002


@dataclass(frozen=True)
class Outcome:
    """One way on one draw."""

    cost: Cost
    board_feet: float
    boards: int
    resaw_cuts: int
    # Whether every part was made.
    complete: bool

    def __add__(self, other: Outcome) -> Outcome:
        return Outcome(
            self.cost + other.cost,
            self.board_feet + other.board_feet,
            self.boards + other.boards,
            self.resaw_cuts + other.resaw_cuts,
            self.complete and other.complete,
        )


NOTHING = Outcome(Cost(0.0, 0.0), 0.0, 0, 0, True)


@dataclass(frozen=True)
class Way:
    """A name and the price line that each part is bought from; `both` of two ways: all boards of either on offer."""

    name: str
    line_of: Mapping[str, int]
    also: Mapping[str, int] | None = None


def quick_outcome(market: Market, way: Way, wants: Sequence[Want], draw: int) -> tuple[Outcome, list[Drawn]]:
    """The way on one draw by quick layouts, and the boards it took."""
    total, boards = NOTHING, []
    for line, some in by_line(wants, way.line_of).items():
        got, met = market.bought(line, draw, some)
        for drawn, laid in got:
            total += _outcome(drawn, 1 - laid.credit_share, laid.resaw_cuts)
        total = replace(total, complete=total.complete and met)
        boards += [d for d, _ in got]
    return total, boards


def _outcome(drawn: Drawn, share: float, resaw_cuts: int) -> Outcome:
    wood, surfacing = float(drawn.bill.wood) * share, float(drawn.bill.surfacing) * share
    thick = drawn.line.nominal == THICK
    cost = Cost(surfacing, wood) if thick else Cost(surfacing + wood, 0.0)
    return Outcome(cost, float(drawn.bill.board_feet), 1, resaw_cuts, True)


def boards_on_offer(market: Market, way: Way, wants: Sequence[Want], draw: int) -> list[Drawn]:
    """The boards that a plan of the way may cut: those the quick layout took, of either way where it is both."""
    boards = {d.board.name: d for d in quick_outcome(market, way, wants, draw)[1]}
    if way.also is not None:
        boards |= {d.board.name: d for d in quick_outcome(market, Way("", way.also), wants, draw)[1]}
    return list(boards.values())


def plan_outcome(job: Job, parts: Sequence[Part], offer: Sequence[Drawn], seconds: float, seed: int, resaw: bool) -> Outcome:
    """The real planner on the boards on offer; `resaw` False forbids resawing where no matched set asks for it.

    Only boards that the plan cuts are paid for: a buyer leaves the others.
    """
    from yieldopt.planning import plan_job

    matched = any(p.match_kind in ("book", "slip") for p in parts)
    boards = [d.board if resaw or matched else replace(d.board, stress="no resaw") for d in offer]
    result = plan_job(
        replace(job, parts=tuple(parts), boards=tuple(boards), pins=(), leave=frozenset()),
        seconds=seconds,
        seed=seed,
        until_gap=CLOSE,
    )
    drawn = {d.board.name: d for d in offer}
    total = replace(NOTHING, complete=not result.plan.unplaced)
    for bp in result.plan.boards:
        share = float(1 - bp.credit / bp.cost) if bp.cost else 1.0
        total += _outcome(drawn[bp.board], share, sum(c.kind == "resaw" for c in bp.cuts))
    return total


def today(market: Market, lines: Sequence[int]) -> Fraction | None:
    """Mean price a board foot of some lines; None of none, or where it is nothing."""
    prices = [market.lines[k].price_bf for k in sorted(set(lines))]
    mean = sum(prices, Fraction(0)) / len(prices) if prices else Fraction(0)
    return mean or None
