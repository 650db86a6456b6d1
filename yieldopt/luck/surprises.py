"""Flaws that only planing uncovers: how many a board has and what they are like. `source` and `fragile` draw them alike.

The level is an assumption; how it varies with grade and thickness is that of the flaws of the grades (`grade_wood`), with
species that of the published shrinkage (`trade.species`).
"""

from __future__ import annotations

import math
import random
from fractions import Fraction

from yieldopt.ground.errors import UsageError
from yieldopt.luck.grade_wood import NO_1, flaw_rate, sized, wood_of
from yieldopt.luck.poisson import poisson
from yieldopt.trade.species import find
from yieldopt.wood.lumber import Board, Defect

# Flaws a square foot that planing uncovers in 4/4 No. 1 Common of ordinary shrinkage. An assumption, no source: of the flaws that
# such a board has (`grade_wood.flaw_rate`) one in `MISSED` is taken to be missed by somebody who logs with care.
HIDDEN = 0.02
MISSED = 240
# Checks and cups come of shrinkage across the grain, so hidden flaws are taken to grow with it; this is the mean tangential
# shrinkage, in percent, of the table's hardwoods to a round figure (Wood Handbook, FPL-GTR-190, Table 4-3). That the two
# are proportional is an inference, no source.
ORDINARY_SHRINKAGE = 8.0
LEAST_FACTOR, MOST_FACTOR = 0.5, 2.0
# Kinds of flaw and how often: inference, no source.
KINDS = (("knot", 0.55), ("check", 0.2), ("worm", 0.1), ("bark", 0.1), ("loose knot", 0.05))
# Share of flaws that go through; the others are on one face, either: inference, no source.
THROUGH = 0.6
EIGHTHS = 8


def flaw_factor(species: str, grade: str, nominal: Fraction) -> float:
    """Hidden flaws a square foot over those of 4/4 No. 1 Common of ordinary shrinkage; `nominal` in inches."""
    wood, _ = wood_of(grade)
    return flaw_rate(wood, nominal) / flaw_rate(NO_1, Fraction(1)) * shrinkage_factor(species)


def shrinkage_factor(species: str) -> float:
    """A species' tangential shrinkage over the ordinary one, within limits; 1 where the table doesn't have it."""
    try:
        figure = find(species).figure("shrinkage_tangential")
    except UsageError:
        return 1.0
    return 1.0 if figure is None else min(MOST_FACTOR, max(LEAST_FACTOR, float(figure.value) / ORDINARY_SHRINKAGE))


def hidden_flaws(rng: random.Random, board: Board, grade: str, rate: float) -> tuple[Defect, ...]:
    """Flaws that come to light once the board is cut and planed, `rate` of them a square foot, both faces together: evenly
    over it, sizes as those of its grade."""
    wood = sized(wood_of(grade)[0], board.nominal)
    found = []
    for _ in range(poisson(rng, rate * float(board.area) / 144)):
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
