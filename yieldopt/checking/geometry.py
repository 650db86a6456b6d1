"""Rectangles on a board and the comparisons between them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from yieldopt.wood.plan import Placed

# Slack of every comparison of lengths, in inches: plans come from JSON numbers, and 1e-6 in is far below any saw.
EPS = Fraction(1, 1_000_000)


@dataclass(frozen=True, slots=True)
class Rect:
    """x0 <= x <= x1 along the board, y0 <= y <= y1 across it, in inches."""

    x0: Fraction
    y0: Fraction
    x1: Fraction
    y1: Fraction

    def within(self, other: Rect) -> bool:
        """Does it lie wholly in `other`?"""
        return self.x0 >= other.x0 - EPS and self.y0 >= other.y0 - EPS and self.x1 <= other.x1 + EPS and self.y1 <= other.y1 + EPS

    def overlaps(self, other: Rect) -> bool:
        """Have they more than an edge in common?"""
        return self.x0 < other.x1 - EPS and other.x0 < self.x1 - EPS and self.y0 < other.y1 - EPS and other.y0 < self.y1 - EPS

    def apart(self, other: Rect, along: Fraction, across: Fraction) -> bool:
        """Is there a gap of `along` in x or of `across` in y between them?"""
        return (
            max(self.x0, other.x0) - min(self.x1, other.x1) >= along - EPS
            or max(self.y0, other.y0) - min(self.y1, other.y1) >= across - EPS
        )

    def grown(self, along: Fraction, across: Fraction) -> Rect:
        """The rectangle with margins added at its ends and edges."""
        return Rect(self.x0 - along, self.y0 - across, self.x1 + along, self.y1 + across)


def rect(thing: Placed) -> Rect:
    """The rectangle of a placed thing."""
    return Rect(thing.x, thing.y, thing.x + thing.length, thing.y + thing.width)
