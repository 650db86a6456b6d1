"""How often wood and hands surprise: hidden flaws a square foot, and the chance that a piece is spoiled.

Levels are assumptions, no source was found for them; how they vary with grade and thickness is that of the published
grade yields (`sourcing.grade_wood`), with species that of the published shrinkage (`trade.species`). A shop's own bookings
take their place as they grow.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from yieldopt.errors import UsageError
from yieldopt.lumber import Board
from yieldopt.sourcing.grade_wood import NO_1, flaw_rate, wood_of
from yieldopt.trade.species import find

# Flaws a square foot that planing uncovers in 4/4 No. 1 Common of ordinary shrinkage. An assumption, no source: one in 125 of
# the flaws that such a board has (`sourcing.grade_wood`) is taken to be missed by somebody who logs with care.
HIDDEN = 0.02
# Chance that a piece is spoiled at the bench. An assumption, no source.
SPOILED = 0.01
# More where a board is resawn that was never tested for stress, and where a blank has next to no thickness to spare.
# Assumptions, no source; that these two go wrong oftener is common practice.
UNTESTED, THIN = 0.03, 0.05
# Checks and cups come of shrinkage across the grain, so hidden flaws are taken to grow with it; this is the mean tangential
# shrinkage, in percent, of the table's hardwoods to a round figure (Wood Handbook, FPL-GTR-190, Table 4-3). That the two
# are proportional is an inference, no source.
ORDINARY_SHRINKAGE = 8.0
LEAST_FACTOR, MOST_FACTOR = 0.5, 2.0
# Pieces of the shop's own that weigh as much as the assumption, and how few are no history yet.
WEIGHT, ENOUGH = 200, 50
# Flaws that weigh as much as the assumption, and how many have to have been found: a shop that found none may log none.
FLAWS_WEIGHT, FLAWS_ENOUGH = 10, 3


@dataclass(frozen=True)
class Rates:
    """The rates of one study."""

    hidden: float = HIDDEN
    spoiled: float = SPOILED
    # By species: pieces that the shop has cut, and how many of them were spoiled.
    history: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    # By species: flaws that these rates expected in the boards that the shop has cut, and how many came to light.
    opened: Mapping[str, tuple[float, int]] = field(default_factory=dict)
    # All chances at the bench are taken times this; 0: no hand ever slips.
    at_bench: float = 1.0

    def flaws(self, board: Board) -> float:
        """Hidden flaws a square foot of a board, both faces together."""
        wood, _ = wood_of(board.notes.get("grade", ""))
        by_grade = flaw_rate(wood, board.nominal) / flaw_rate(NO_1, Fraction(1))
        return self.hidden * by_grade * shrinkage_factor(board.species) * self.own_flaws(board.species)

    def own_flaws(self, species: str) -> float:
        """The shop's own flaws over those expected, drawn towards 1 (the mean of a gamma distribution after so many)."""
        expected, found = self.opened.get(species, (0.0, 0))
        if found < FLAWS_ENOUGH:
            return 1.0
        return (FLAWS_WEIGHT + found) / (FLAWS_WEIGHT + expected)

    def after(self, boards: Iterable[tuple[Board, int]]) -> Rates:
        """These rates once the shop has cut `boards`, and so many flaws came to light in each."""
        opened: dict[str, tuple[float, int]] = {}
        for board, found in boards:
            expected, before = opened.get(board.species, (0.0, 0))
            opened[board.species] = (expected + self.flaws(board) * float(board.area) / 144, before + found)
        return replace(self, opened=opened)

    def spoils(self, species: str, untested: bool, thin: bool) -> float:
        """Chance that one piece is spoiled: of a board of unknown stress that is resawn, of a blank that may come out thin."""
        return min(0.5, self.at_bench * (self.own(species) + UNTESTED * untested + THIN * thin))

    def own(self, species: str) -> float:
        """The assumption, drawn towards what the shop has seen (the mean of a beta distribution after so many pieces)."""
        cut, lost = self.history.get(species, (0, 0))
        if cut < ENOUGH:
            return self.spoiled
        return (WEIGHT * self.spoiled + lost) / (WEIGHT + cut)


def shrinkage_factor(species: str) -> float:
    """A species' tangential shrinkage over the ordinary one, within limits; 1 where the table doesn't have it."""
    try:
        figure = find(species).figure("shrinkage_tangential")
    except UsageError:
        return 1.0
    return 1.0 if figure is None else min(MOST_FACTOR, max(LEAST_FACTOR, float(figure.value) / ORDINARY_SHRINKAGE))
