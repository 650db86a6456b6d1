"""Ways to break a good plan, one rule at a time. Each operator takes a job and a plan that keeps every rule and returns
a pair that breaks one, or None where the plan has nothing of the kind. Where a rule compares the plan with the job, the
job is moved instead of the plan: that breaks one rule and leaves the others alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction as F
from typing import Any

from layouts import board_area, milled_area, with_totals

from yieldopt.wood.lumber import Board, Defect, Job, Part
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Offcut, Piece, Plan

Broken = tuple[Job, Plan] | None
Operator = Callable[[Job, Plan], Broken]


@dataclass(frozen=True)
class Corruption:
    """An operator, the code it must be caught with, and codes that may come with it."""

    code: int
    also: frozenset[int]
    operator: Operator

    @property
    def name(self) -> str:
        return f"{self.code}-{self.operator.__name__}"


CORRUPTIONS: list[Corruption] = []
BIT = F(1, 16)


def breaks(code: int, *also: int) -> Callable[[Operator], Operator]:
    def enter(operator: Operator) -> Operator:
        CORRUPTIONS.append(Corruption(code, frozenset(also), operator))
        return operator

    return enter


# --- small changes ------------------------------------------------------------------------------------------------


def on_board(plan: Plan, old: BoardPlan, **changes: Any) -> Plan:
    return replace(plan, boards=tuple(replace(b, **changes) if b is old else b for b in plan.boards))


def swapped(things: tuple[Any, ...], old: Any, **changes: Any) -> tuple[Any, ...]:
    return tuple(replace(t, **changes) if t is old else t for t in things)


def with_piece(plan: Plan, b: BoardPlan, p: Piece, **changes: Any) -> Plan:
    return on_board(plan, b, pieces=swapped(b.pieces, p, **changes))


def with_cut(plan: Plan, b: BoardPlan, c: Cut, **changes: Any) -> Plan:
    return on_board(plan, b, cuts=swapped(b.cuts, c, **changes))


def with_part(job: Job, part: Part, **changes: Any) -> Job:
    return replace(job, parts=tuple(replace(p, **changes) if p is part else p for p in job.parts))


def with_board(job: Job, board: Board, **changes: Any) -> Job:
    return replace(job, boards=tuple(replace(b, **changes) if b is board else b for b in job.boards))


def with_shop(job: Job, section: str, **changes: Any) -> Job:
    return replace(job, shop=replace(job.shop, **{section: replace(getattr(job.shop, section), **changes)}))


def summed(job: Job, plan: Plan) -> Plan:
    """The plan with credit and totals put right again."""
    boards = []
    for b in plan.boards:
        board = job.board_named[b.board]
        kept = sum((milled_area(board, b.blanks, o) for o in b.offcuts if o.kept), F(0))
        boards.append(replace(b, credit=job.shop.values.offcut_credit * kept / board_area(board) * b.cost))
    return with_totals(job, tuple(boards))


def pieces(job: Job, plan: Plan, kind: str | None = "") -> Iterator[tuple[BoardPlan, Piece, Part]]:
    """Placed pieces with their parts; `kind` "" takes all, None those in no group."""
    for b in plan.boards:
        for p in b.pieces:
            part = job.part_named[p.part]
            if kind == "" or part.match_kind == kind:
                yield b, p, part


def blanks(plan: Plan, resawn: bool = False) -> Iterator[tuple[BoardPlan, Blank]]:
    for b in plan.boards:
        for k in b.blanks:
            if not resawn or k.layers > 1:
                yield b, k


def cuts(plan: Plan, stage: str, kind: str = "") -> Iterator[tuple[BoardPlan, Cut]]:
    for b in plan.boards:
        for c in b.cuts:
            if c.stage == stage and kind in ("", c.kind):
                yield b, c


def loose_kept(plan: Plan) -> Iterator[tuple[BoardPlan, Offcut]]:
    for b in plan.boards:
        for o in b.offcuts:
            if not any(k.x <= o.x < k.x + k.length and k.y <= o.y < k.y + k.width for k in b.blanks):
                yield b, o


def tiny(kind: str, thing: Piece | Offcut, face: Any = "both") -> Defect:
    """A defect of a hundredth of an inch amid a thing."""
    size = F(1, 100)
    return Defect(kind, face, thing.x + thing.length / 2, thing.y + thing.width / 2, size, size)


def with_defect(job: Job, name: str, defect: Defect) -> Job:
    board = job.board_named[name]
    return with_board(job, board, defects=(*board.defects, defect))
