"""Surprises of one draw. The same draw gives the same board the same flaws whatever the plan, so that plans are compared on
the same luck."""

from __future__ import annotations

import math
import random
from fractions import Fraction

from yieldopt.chance import poisson
from yieldopt.fragility.rates import Rates
from yieldopt.lumber import Board, Defect
from yieldopt.sourcing.drawing_boards import KINDS, THROUGH
from yieldopt.sourcing.grade_wood import wood_of

EIGHTHS = 8


def hidden_flaws(board: Board, rates: Rates, draw: str) -> tuple[Defect, ...]:
    """Flaws that come to light once the board is cut and planed: evenly over it, sizes as those of its grade."""
    rng = random.Random(f"flaws/{draw}/{board.name}")
    wood, _ = wood_of(board.notes.get("grade", ""))
    count = poisson(rng, rates.flaws(board) * float(board.area) / 144)
    found = []
    for _ in range(count):
        kind = rng.choices([k for k, _ in KINDS], [share for _, share in KINDS])[0]
        long = max(0.25, rng.expovariate(1 / wood.flaw_length)) * (3.0 if kind == "check" else 1.0)
        wide = max(0.25, rng.expovariate(1 / wood.flaw_width)) * (0.35 if kind == "check" else 1.0)
        face = "both" if rng.random() < THROUGH else rng.choice(("A", "B"))
        x, span = _within(rng, Fraction(0), board.length, long)
        near, far = board.channel(x, x + span)
        if far <= near:
            continue
        y, rise = _within(rng, near, far, wide)
        found.append(Defect(kind, face, x, y, span, rise, {"why": "drawn by chance"}))  # type: ignore[arg-type]
    return tuple(found)


def _within(rng: random.Random, low: Fraction, high: Fraction, size: float) -> tuple[Fraction, Fraction]:
    """Start and extent between `low` and `high`, in eighths of an inch where there is room."""
    extent = min(Fraction(math.ceil(size * EIGHTHS), EIGHTHS), high - low)
    room = high - low - extent
    return low + min(room, Fraction(math.floor(rng.random() * float(room) * EIGHTHS), EIGHTHS)), extent


def unlucky(draw: str, piece: str, attempt: int, chance: float) -> bool:
    """Is this piece spoiled at this attempt?"""
    return random.Random(f"hands/{draw}/{piece}/{attempt}").random() < chance
