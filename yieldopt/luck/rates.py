"""How often wood and hands surprise: hidden flaws a square foot, and the chance that a piece is spoiled.

Levels are assumptions, no source was found for them; how hidden flaws vary with grade, thickness and species is said in
`luck.surprises`. A shop's own bookings take their place as they grow.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from yieldopt.luck.surprises import HIDDEN, flaw_factor
from yieldopt.wood.lumber import Board

# Chance that a piece is spoiled at the bench. An assumption, no source.
SPOILED = 0.01
# More where a board is resawn that was never tested for stress, and where a blank has next to no thickness to spare.
# Assumptions, no source; that these two go wrong oftener is common practice.
UNTESTED, THIN = 0.03, 0.05
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
        factor = flaw_factor(board.species, board.notes.get("grade", ""), board.nominal)
        return self.hidden * factor * self.own_flaws(board.species)

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
