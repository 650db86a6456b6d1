"""What is missing on the rack, by species and thickness class: parts, boards, board feet as tallied."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import fmean
from types import MappingProxyType

from yieldopt.sizes.sizing import end_trim, thickness_need
from yieldopt.sourcing.lay.classes import CLASSES, class_name
from yieldopt.sourcing.lay.wants import Want
from yieldopt.sourcing.market.lines import Market
from yieldopt.sourcing.market.refused import NO_SHEET
from yieldopt.trade.tally import tally
from yieldopt.wood.lumber import Board, PriceLine, Shop

# Draws of boards behind each row.
DRAWS = 20
# Stands in where no dealer on the sheet has the wood.
ANYWHERE = "No. 1 Common"


@dataclass(frozen=True)
class Shortfall:
    """Wood missing of one species and thickness class, as boards of the dealer's ranges would make it up on average."""

    species: str
    quarters: str
    # Names, and how many pieces of wood (a pair counts two, each stave one).
    parts: tuple[str, ...]
    pieces: int
    # Face of the pieces as rough-cut, square feet.
    square_feet: float
    # Mean over the draws; whole surface measure a board, as the grading rules tally.
    boards: float
    tally_feet: float
    # Whether a line of the sheets makes it; else boards of No. 1 Common in usual sizes stand in, and `why` says why none does.
    offered: bool
    why: str = ""


NO_REASONS: Mapping[str, str] = MappingProxyType({})


def shortfalls(
    market: Market, wants: Sequence[Want], line_of: Mapping[str, int], why_not: Mapping[str, str] = NO_REASONS
) -> list[Shortfall]:
    """A row for each species and class; the class is that of the line each part is bought from."""
    groups: dict[tuple[str, Fraction, str, bool], list[tuple[Want, int | None]]] = {}
    for w in wants:
        k = line_of.get(w.part)
        line = market.lines[k] if k is not None else _stand_in(w, market.shop)
        groups.setdefault((line.species, line.nominal, line.quarters, k is not None), []).append((w, k))
    return [_row(market, *key, some, why_not) for key, some in sorted(groups.items())]


def _row(
    market: Market,
    species: str,
    nominal: Fraction,
    quarters: str,
    offered: bool,
    some: Sequence[tuple[Want, int | None]],
    why_not: Mapping[str, str],
) -> Shortfall:
    wants = [w for w, _ in some]
    boards, feet = [], []
    for d in range(DRAWS):
        got: list[Board] = []
        for k in sorted({k for _, k in some if k is not None}):
            got += [x.board for x, _ in market.bought(k, d, [w for w, j in some if j == k])[0]]
        if not offered:
            generic = Market((_stand_in(wants[0], market.shop),), market.shop, market.seed, market.hidden, market.stress)
            got += [x.board for x, _ in generic.bought(0, d, wants)[0]]
        boards.append(len(got))
        feet.append(tally(got).board_feet)
    return Shortfall(
        species,
        quarters,
        tuple(dict.fromkeys(w.part for w in wants)),
        sum(w.qty * w.layers for w in wants),
        float(sum((w.area for w in wants), Fraction(0))) / 144,
        fmean(boards),
        fmean(feet),
        offered,
        "" if offered else NO_SHEET if {why_not.get(w.part) for w in wants} == {NO_SHEET} else "no line gives the size",
    )


def _stand_in(want: Want, shop: Shop) -> PriceLine:
    """A line for wood that no dealer on the sheet has: the least class that gives the part, in usual sizes."""
    need = thickness_need((want.thickness,) * want.layers, False, shop)
    nominal = next((c for c in CLASSES if c >= need), CLASSES[-1])
    length = max(Fraction(144), want.length + 2 * end_trim(nominal, shop))
    grade = f"{want.sawn} {ANYWHERE}" if want.sawn in ("quarter", "rift") else ANYWHERE
    return PriceLine(
        "", want.species, class_name(nominal), nominal, grade, Fraction(0), Fraction(96), length, Fraction(5),
        max(Fraction(12), want.width + 1),
    )  # fmt: skip
