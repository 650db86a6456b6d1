"""What one way of buying came to on one draw of boards."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.luck.bill import bundle_rest
from yieldopt.luck.drawing_boards import Drawn
from yieldopt.sourcing.lay.classes import is_thick
from yieldopt.sourcing.lay.thickness import NOTHING_RESAWN, Spare, spare
from yieldopt.sourcing.ways.turning import Cost
from yieldopt.wood.lumber import CUBIC_INCHES_PER_BOARD_FOOT, Board, Job, PriceLine, Shop
from yieldopt.wood.plan import Blank, BoardPlan

NO_COST = Cost(0.0, 0.0)


@dataclass(frozen=True)
class Outcome:
    """Sums over the boards of one way on one draw. Costs follow the price of 8/4; feet are the dealer's count."""

    cost: Cost = NO_COST
    board_feet: float = 0.0
    boards: int = 0
    # Passes of each saw; quick layouts count resaw cuts only.
    resaw_cuts: int = 0
    rips: int = 0
    crosscuts: int = 0
    # Pairs of equal pieces that lay one upon the other in a blank: they open like a book.
    pairs: int = 0
    # Exact board feet kept as offcuts.
    kept: float = 0.0
    # Layers that come out of resawn blanks; those too thin if the wood is stressed; the least to spare.
    layers: int = 0
    at_risk: int = 0
    spare: Spare = NOTHING_RESAWN
    # Finished face of all boards bought, square feet.
    surface: float = 0.0
    # Boards that quick layouts looked at to find those they took.
    looked: int = 0
    # Whether every part was made.
    complete: bool = True

    def __add__(self, other: Outcome) -> Outcome:
        return Outcome(
            self.cost + other.cost,
            self.board_feet + other.board_feet,
            self.boards + other.boards,
            self.resaw_cuts + other.resaw_cuts,
            self.rips + other.rips,
            self.crosscuts + other.crosscuts,
            self.pairs + other.pairs,
            self.kept + other.kept,
            self.layers + other.layers,
            self.at_risk + other.at_risk,
            self.spare & other.spare,
            self.surface + other.surface,
            self.looked + other.looked,
            self.complete and other.complete,
        )


NOTHING = Outcome()


def paid(drawn: Drawn, share: float) -> Cost:
    """What `share` of a bought board's bill comes to, as it follows the price of 8/4."""
    wood, surfacing = float(drawn.bill.wood) * share, float(drawn.bill.surfacing) * share
    return Cost(surfacing, wood) if is_thick(drawn.line.nominal) else Cost(surfacing + wood, 0.0)


def rest_of_bundle(line: PriceLine, feet: float, shop: Shop) -> Outcome:
    """What a bundle adds to `feet` of a line: boards that are paid for and kept whole."""
    cost, back = bundle_rest(line, feet, shop)
    more = float(line.bundle_bf) - feet if cost else 0.0
    net = Cost(0.0, cost - back) if is_thick(line.nominal) else Cost(cost - back, 0.0)
    return Outcome(net, more, kept=more)


def planned_board(job: Job, board: Board, bp: BoardPlan, drawn: Drawn | None) -> Outcome:
    """One board of a plan; `drawn` is None for a board of the rack, which is owned and counts at its own cost."""
    share = float(1 - bp.credit / bp.cost) if bp.cost else 1.0
    kept = sum((o.length * o.width for o in bp.offcuts if o.kept), Fraction(0)) * board.nominal / CUBIC_INCHES_PER_BOARD_FOOT
    resawn = [b for b in bp.blanks if b.layers > 1]
    spares = [spare(board, b.length, b.width, b.thicknesses, job.shop) for b in resawn]
    kinds = [c.kind for c in bp.cuts]
    tightest = NOTHING_RESAWN
    for s in spares:
        tightest &= s
    return Outcome(
        Cost(float(bp.cost - bp.credit), 0.0) if drawn is None else paid(drawn, share),
        0.0 if drawn is None else float(drawn.bill.board_feet),
        0 if drawn is None else 1,
        kinds.count("resaw"),
        kinds.count("rip"),
        kinds.count("crosscut"),
        sum(pairs_in(bp, b) for b in resawn),
        float(kept),
        sum(b.layers for b in resawn),
        sum(b.layers for b, s in zip(resawn, spares, strict=True) if s.stressed < 0),
        tightest,
        0.0 if drawn is None else float(board.area) / 144,
    )


def pairs_in(bp: BoardPlan, blank: Blank) -> int:
    """Pairs of pieces in a blank that lie over one footprint in adjacent layers, each piece in one pair at most."""
    layer_of: dict[tuple[Fraction, ...], list[int]] = {}
    for p in bp.pieces:
        if p.blank == blank.blank:
            layer_of.setdefault((p.x, p.y, p.length, p.width, p.thickness), []).append(p.layer)
    return sum(_adjacent(sorted(layers)) for layers in layer_of.values())


def _adjacent(layers: Iterable[int]) -> int:
    pairs, last = 0, None
    for n in layers:
        if last is not None and n == last + 1:
            pairs, last = pairs + 1, None
        else:
            last = n
    return pairs
