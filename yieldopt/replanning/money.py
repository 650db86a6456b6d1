"""What a merged plan costs and yields: credits of kept offcuts, totals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from yieldopt.replanning.wood import inside
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import BoardPlan, Totals


def kept_area(board: Board, entry: BoardPlan) -> Fraction:
    """Area of the kept offcuts in square inches; milled wood counts at its layer's share of the nominal thickness."""
    total = Fraction(0)
    for o in entry.offcuts:
        if o.kept:
            blank = next((b for b in entry.blanks if b.layers == o.layers and inside(o, b)), None)
            total += o.length * o.width * (blank.thicknesses[o.layer - 1] / board.nominal if blank else 1)
    return total


def priced(job: Job, entry: BoardPlan) -> BoardPlan:
    """The entry with what its board costs and what its kept offcuts are worth."""
    board = job.board_named[entry.board]
    share = kept_area(board, entry) / board.area if board.area else Fraction(0)
    return replace(entry, cost=board.price, credit=share * board.price * job.shop.values.offcut_credit)


def totals(job: Job, boards: Sequence[BoardPlan], missing: dict[str, int], bound: float | None, seconds: float) -> Totals:
    """Figures of a whole plan; `missing` says how many of each part have no place."""
    net = float(sum((b.cost - b.credit for b in boards), Fraction(0)))
    made = sum(((p.qty - missing.get(p.name, 0)) * p.length * p.width * p.thickness for p in job.parts), Fraction(0))
    used = Fraction(0)
    for b in boards:
        board = job.board_named[b.board]
        used += (board.area - kept_area(board, b)) * board.nominal
    if bound is not None:
        bound = min(bound, net)
    gap = None if bound is None else ((net - bound) / net if net > 0 else 0.0)
    return Totals(
        round(net, 6),
        None if bound is None else round(bound, 6),
        gap,
        float(made / used) if used else 0.0,
        len(boards),
        round(seconds, 3),
    )
