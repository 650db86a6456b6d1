"""What resawing risks: thickness that each layer has to spare at best, typically, and out of stressed wood.

A flattened 8/4 blank of 2 in gives two layers of 0.89 in each at best, 0.75 in typically, 0.59 in where it is stressed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import inf

from yieldopt.sizes.sizing import warp_loss
from yieldopt.wood.lumber import Board, Shop

# One jointer pass of 1/32 in removed all marks of a good blade: the pass mark of a magazine's blade test
# (woodworkingarchive.biz, shop-cabinet, December).
BEST_SAWN_FACE = Fraction(1, 32)
# At best half of what the shop reckons for a rough face: derived, so that two layers of 2 in come to 0.89.
BEST_FACE = Fraction(1, 2)
# Typically half of the shop's spare for untested stock goes into flattening again: derived, 0.75 of two layers of 2 in.
TYPICAL_SPARE = Fraction(1, 2)
# A layer sawn 7/8 in that finished at 1/2 in (woodweb.com, Casehardening, checking and warping): 3/8 in lost, of which a
# rough and a sawn face, 3/32 and 1/16 in, are no warp. Leaves 0.59 in of two layers of 2 in.
STRESSED_LOSS = Fraction(7, 32)


@dataclass(frozen=True, slots=True)
class Spare:
    """Thickness that a resawn layer has beyond what its part needs, inches; below zero: too thin. `inf`: nothing resawn."""

    best: float = inf
    typical: float = inf
    stressed: float = inf

    def __and__(self, other: Spare) -> Spare:
        """The tighter of two, case by case."""
        return Spare(min(self.best, other.best), min(self.typical, other.typical), min(self.stressed, other.stressed))


NOTHING_RESAWN = Spare()


def spare(board: Board, length: Fraction, width: Fraction, thicknesses: Sequence[Fraction], shop: Shop) -> Spare:
    """To spare in each layer of a blank of `length` by `width` resawn into `thicknesses`, the excess shared evenly.

    Raises `ValueError` for fewer than two layers. A board tested and flat is not taken to be stressed.
    """
    n = len(thicknesses)
    if n < 2:
        raise ValueError("a blank of one layer is not resawn")
    a, kerf = shop.allowances, shop.kerf.resaw
    there = board.thickness - warp_loss(board, length, width) - sum(thicknesses, Fraction(0))

    def each(face: Fraction, sawn: Fraction) -> Fraction:
        return (there - 2 * face - (n - 1) * (kerf + 2 * sawn)) / n

    best = each(BEST_FACE * a.face, min(BEST_SAWN_FACE, a.sawn_face))
    usual = each(a.face, a.sawn_face)
    tested = board.stress == "tested"
    typical = usual if tested else usual - TYPICAL_SPARE * a.resaw_spare
    return Spare(float(best), float(typical), float(typical if tested else usual - STRESSED_LOSS))
