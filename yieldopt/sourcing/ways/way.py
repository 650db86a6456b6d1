"""The ways to buy for a job, each costed on the same draws: by quick layouts, and by the planner where time allows."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.luck.drawing_boards import Drawn
from yieldopt.sourcing.lay.quick import Laid
from yieldopt.sourcing.lay.thickness import NOTHING_RESAWN, spare
from yieldopt.sourcing.lay.wants import Want
from yieldopt.sourcing.market.lines import Market, by_line
from yieldopt.sourcing.ways.outcome import NOTHING, Outcome, paid, rest_of_bundle
from yieldopt.wood.lumber import Part


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


def quick_outcome(market: Market, way: Way, wants: Sequence[Want], draw: int) -> Outcome:
    """The way on one draw by quick layouts."""
    total = NOTHING
    for line, got, met in market.bought_for(wants, way.line_of, draw):
        feet = 0.0
        # Boards that give nothing are left at the dealer's; so are they by a plan.
        for drawn, laid in ((d, x) for d, x in got if x.stacks):
            total += _laid(drawn, laid, market)
            feet += float(drawn.bill.board_feet)
        total += rest_of_bundle(market.lines[line], feet, market.shop)
        looked = got[-1][0].looked_at if got else 0
        total = replace(total, complete=total.complete and met, looked=total.looked + looked)
    return total


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


# Boards of each line on offer beyond those the quick layouts took, and as a share of those, so that a plan is not held up by
# a tight lot.
MORE, MORE_SHARE = 3, 0.4


@dataclass(frozen=True)
class Offer:
    """The boards that a plan of a way may cut, and which of them each want may come from: by name of its part."""

    boards: tuple[Drawn, ...]
    homes: Mapping[str, frozenset[str]]

    def sources(self, parts: Iterable[Part]) -> tuple[Part, ...]:
        """The parts bound to their boards; a matched group goes by the one of its parts that its want is named after."""
        groups: dict[str, frozenset[str]] = {}
        parts = tuple(parts)
        for p in parts:
            if p.match:
                groups[p.match] = groups.get(p.match, frozenset()) | self.homes.get(p.name, frozenset())
        return tuple(replace(p, sources=tuple(sorted(groups[p.match] if p.match else self.homes.get(p.name, ())))) for p in parts)


def boards_on_offer(market: Market, way: Way, wants: Sequence[Want], draw: int) -> Offer:
    """The boards that the quick layouts took, of any of the way's lines, and a few more of each line. A part may come from
    all boards of its own lines, and from others on which quick layouts found a place for it."""
    boards: dict[str, Drawn] = {}
    homes: dict[str, set[str]] = {}
    for lines in (way.line_of, *way.also):
        mine = by_line(wants, lines)
        for line, got, _ in market.bought_for(wants, lines, draw):
            some = [(d, laid) for d, laid in got if laid.stacks]
            names = {d.board.name for d, _ in some}
            fresh = (d for d in market.fitting(line, draw, mine[line]) if d.board.name not in names)
            own = [d for d, _ in some] + list(itertools.islice(fresh, max(MORE, math.ceil(MORE_SHARE * len(some)))))
            boards |= {d.board.name: d for d in own}
            for d, laid in some:
                for stack in laid.stacks:
                    homes.setdefault(stack.want.part, set()).add(d.board.name)
            for w in mine[line]:
                # The one board for a group that quick layouts found is good enough; the planner takes long to find one.
                if w.home is None or w.part not in homes:
                    homes.setdefault(w.part, set()).update(d.board.name for d in own)
    return Offer(tuple(boards.values()), {part: frozenset(names) for part, names in homes.items()})


def today(market: Market, wants: Sequence[Want], above: Mapping[str, int], below: Mapping[str, int]) -> float | None:
    """Price a board foot of the lines `above` over that of the lines `below`, by the face area of the wants; None of none."""
    dear, cheap = (sum((w.area * market.lines[line[w.part]].price_bf for w in wants), Fraction(0)) for line in (above, below))
    return float(dear / cheap) if dear and cheap else None
