"""The ways to buy for a job, each costed on the same draws: by quick layouts, and by the planner where time allows."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.sourcing.drawing_boards import Drawn
from yieldopt.sourcing.market import Market, by_line
from yieldopt.sourcing.outcome import NOTHING, Outcome, paid, rest_of_bundle
from yieldopt.sourcing.quick import Laid
from yieldopt.sourcing.thickness import NOTHING_RESAWN, spare
from yieldopt.sourcing.wants import Want


@dataclass(frozen=True)
class Way:
    """A name and the price line that each part is bought from."""

    name: str
    line_of: Mapping[str, int]
    # Other lines whose boards are on offer too.
    also: tuple[Mapping[str, int], ...] = ()
    # Whether boards may be resawn where no matched set asks for it.
    resaw: bool = True
    # False: book and slip groups are let go.
    matched: bool = True


def quick_outcome(market: Market, way: Way, wants: Sequence[Want], draw: int) -> tuple[Outcome, list[Drawn]]:
    """The way on one draw by quick layouts, and the boards it took."""
    total, boards = NOTHING, []
    for line, got, met in market.bought_for(wants, way.line_of, draw):
        feet = 0.0
        # Boards that give nothing are left at the dealer's; so are they by a plan.
        for drawn, laid in ((d, x) for d, x in got if x.stacks):
            total += _laid(drawn, laid, market)
            feet += float(drawn.bill.board_feet)
        total += rest_of_bundle(market.lines[line], feet, market.shop)
        total = replace(total, complete=total.complete and met)
        boards += [d for d, x in got if x.stacks]
    return total, boards


def _laid(drawn: Drawn, laid: Laid, market: Market) -> Outcome:
    tightest, layers, risk, pairs = NOTHING_RESAWN, 0, 0, 0
    for s in laid.stacks:
        w = s.want
        pairs += s.copies // 2
        if s.copies > 1:
            left = spare(drawn.board, w.length, w.width, (w.thickness,) * s.copies, market.shop)
            layers, risk, tightest = layers + s.copies, risk + s.copies * (left.stressed < 0), tightest & left
    surface = float(drawn.board.area) / 144
    kept = laid.credit_share / max(1e-9, float(market.shop.values.offcut_credit)) * surface * float(drawn.line.nominal)
    return Outcome(
        paid(drawn, 1 - laid.credit_share),
        float(drawn.bill.board_feet),
        1,
        laid.resaw_cuts,
        pairs=pairs,
        kept=kept,
        layers=layers,
        at_risk=risk,
        spare=tightest,
        surface=surface,
    )


# Boards of each line on offer beyond those the quick layouts took, so that a plan is not held up by a tight lot.
MORE = 2


def boards_on_offer(market: Market, way: Way, wants: Sequence[Want], draw: int) -> list[Drawn]:
    """The boards that a plan of the way may cut: those the quick layouts took, of any of its lines, and two more of each."""
    boards: dict[str, Drawn] = {}
    for lines in (way.line_of, *way.also):
        some = quick_outcome(market, Way("", lines), wants, draw)[1]
        boards |= {d.board.name: d for d in some}
        for line in by_line(wants, lines):
            names = {d.board.name for d in some}
            own = by_line(wants, lines)[line]
            fresh = (d for d in market.fitting(line, draw, own) if d.board.name not in names)
            boards |= {d.board.name: d for d in itertools.islice(fresh, MORE)}
    return list(boards.values())


def today(market: Market, wants: Sequence[Want], above: Mapping[str, int], below: Mapping[str, int]) -> float | None:
    """Price a board foot of the lines `above` over that of the lines `below`, by the face area of the wants; None of none."""
    dear, cheap = (sum((w.area * market.lines[line[w.part]].price_bf for w in wants), Fraction(0)) for line in (above, below))
    return float(dear / cheap) if dear and cheap else None
