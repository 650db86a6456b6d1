"""What there is to cut from: a whole board between its trimmed ends, or a region that earlier cuts have left."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.sizes.sizing import clear_ends
from yieldopt.wood.lumber import Board, Job


@dataclass(frozen=True)
class Stock:
    """One region to lay out. Lengths in inches, in the board's frame."""

    board: Board
    x0: Fraction
    x1: Fraction
    y0: Fraction
    y1: Fraction
    # What cutting into it costs (nothing for a region of a board that is cut already).
    cost: Fraction
    # Credit of a kept offcut, per square inch.
    density: Fraction
    # Credit it earns when it is left alone (a region of a board that is cut already).
    idle_credit: Fraction = Fraction(0)
    # What of `cost` is no money: a board without a price counts for its wood, so that few of them are cut.
    wood: Fraction = Fraction(0)

    @property
    def name(self) -> str:
        return self.board.name


# What the wood of all boards without a price counts for, together: freely where no board has one, next to nothing beside money.
UNPRICED, UNPRICED_BESIDE = Fraction(100), Fraction(1, 20)


def whole_boards(job: Job) -> tuple[Stock, ...]:
    """One stock a board that the job may touch, ends trimmed."""
    stocks = [whole_board(b, job) for b in job.boards if b.name not in job.leave]
    free = [s for s in stocks if not s.cost]
    feet = sum((s.board.board_feet for s in free), Fraction(0))
    if not feet:
        return tuple(stocks)
    each = (UNPRICED if len(free) == len(stocks) else UNPRICED_BESIDE) / feet
    return tuple(_for_its_wood(s, each) if not s.cost else s for s in stocks)


def _for_its_wood(stock: Stock, each: Fraction) -> Stock:
    wood = (stock.board.board_feet * each).limit_denominator(1_000_000)
    return replace(stock, cost=wood, wood=wood)


def whole_board(board: Board, job: Job) -> Stock:
    x0, x1 = clear_ends(board, job.shop)
    near = min(p.near for p in board.outline)
    far = max(p.far for p in board.outline)
    density = board.price / board.area * job.shop.values.offcut_credit if board.area else Fraction(0)
    return Stock(board, x0, max(x0, x1), near, far, board.price, density)
