"""A rectangle on a board, in its own x and y; inches."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple


class Rect(NamedTuple):
    """Corner nearest the datum end and the near edge; extent along and across the board."""

    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction

    @property
    def area(self) -> Fraction:
        """Square inches."""
        return self.length * self.width
