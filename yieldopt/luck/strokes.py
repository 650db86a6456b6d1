"""Surprises of one draw. The same draw gives the same board the same flaws whatever the plan, so that plans are compared on
the same luck."""

from __future__ import annotations

import random

from yieldopt.luck import surprises
from yieldopt.luck.rates import Rates
from yieldopt.wood.lumber import Board, Defect


def hidden_flaws(board: Board, rates: Rates, draw: str) -> tuple[Defect, ...]:
    """Flaws that come to light once the board is cut and planed (see `luck.surprises`)."""
    rng = random.Random(f"flaws/{draw}/{board.name}")
    return surprises.hidden_flaws(rng, board, board.notes.get("grade", ""), rates.flaws(board))


def unlucky(draw: str, piece: str, attempt: int, chance: float) -> bool:
    """Is this piece spoiled at this attempt?"""
    return random.Random(f"hands/{draw}/{piece}/{attempt}").random() < chance
