"""Boards without a price: a plan's cost leaves them out, and says so instead of counting them as free."""

from __future__ import annotations

from yieldopt.ground.counted import counted
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Plan


def has_price(board: Board) -> bool:
    """Whether anybody said what the board costs; 0 is a price."""
    return not (board.cost is None and board.price_bf is None and board.price_m3 is None)


def unpriced(job: Job, plan: Plan) -> list[str]:
    """The boards that the plan cuts and that have no price."""
    return [bp.board for bp in plan.boards if not has_price(job.board_named[bp.board])]


def cost_unknown(job: Job, plan: Plan) -> str:
    """`Cost unknown: 6 boards have no price`; empty where every board cut has one."""
    count = len(unpriced(job, plan))
    return f"Cost unknown: {counted(count, 'board')} {'has' if count == 1 else 'have'} no price" if count else ""
