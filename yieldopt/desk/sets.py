"""The finished sets as they will lie side by side: leaves of a panel in glue-up order, a book opened, a run in line."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from pydantic import BaseModel

from yieldopt.desk.show import Spot, Wood, woods
from yieldopt.ground.lengths import Units, to_number
from yieldopt.insight.milling_order import glue_ups, matched_sets
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Piece, Plan

WORDS = {"book": "a book, opened", "slip": "leaves one after the other", "run": "the grain runs through, in line"}


class Leaf(BaseModel):
    """One piece of the set where it comes to lie, `at` its own finished or net size; `wood` is where it lies on its board.

    `turned`: opened like the page of a book, so that the near edge lies where the far edge was.
    """

    piece: str
    board: str
    layer: int
    layers: int
    at: Spot
    wood: Spot
    turned: bool


class FinishedSet(BaseModel):
    name: str
    words: str
    length: float
    width: float
    leaves: list[Leaf]


class FinishedSets(BaseModel):
    boards: list[Wood]
    sets: list[FinishedSet]


def finished(job: Job, plan: Plan) -> FinishedSets:
    """Every glue-up and matched set of the plan."""
    found = [_panel(job, plan.units, name, staves) for name, staves in glue_ups(plan).items()]
    found += [_matched(job, plan.units, kind, name, members) for (kind, name), members in matched_sets(job, plan).items()]
    used = {leaf.board for s in found for leaf in s.leaves}
    return FinishedSets(boards=[w for w in woods(job) if w.name in used], sets=found)


def _panel(job: Job, u: Units, name: str, staves: Sequence[tuple[str, Piece]]) -> FinishedSet:
    part = job.part_named[staves[0][1].part]
    edge = 2 * job.shop.allowances.edge
    leaves, y = [], 0.0
    for board, p in staves:
        width = _n(p.width - edge, u)
        leaves.append(_leaf(u, board, p, 0.0, y, _n(part.length, u), width))
        y += width
    words = f"{len(staves)} staves in the order of the glue-up, stave 1 at the near edge"
    return FinishedSet(name=name, words=words, length=_n(part.length, u), width=y, leaves=leaves)


def _matched(job: Job, u: Units, kind: str, name: str, members: Sequence[tuple[str, Piece]]) -> FinishedSet:
    leaves: list[Leaf] = []
    x = y = 0.0
    for n, (board, p) in enumerate(members):
        part = job.part_named[p.part]
        length, width = _n(part.length, u), _n(part.width, u)
        turned = kind == "book" and n % 2 == 1
        leaves.append(_leaf(u, board, p, x, y, length, width, turned))
        x, y = (x + length, y) if kind == "run" else (x, y + width)
    wide = max(leaf.at.y + leaf.at.width for leaf in leaves)
    long = max(leaf.at.x + leaf.at.length for leaf in leaves)
    return FinishedSet(name=name, words=WORDS[kind], length=long, width=wide, leaves=leaves)


def _leaf(u: Units, board: str, p: Piece, x: float, y: float, length: float, width: float, turned: bool = False) -> Leaf:
    wood = Spot(x=_n(p.x, u), y=_n(p.y, u), length=_n(p.length, u), width=_n(p.width, u))
    at = Spot(x=x, y=y, length=length, width=width)
    return Leaf(piece=p.piece, board=board, layer=p.layer, layers=p.layers, at=at, wood=wood, turned=turned)


def _n(v: Fraction, u: Units) -> float:
    return float(to_number(v, u))
