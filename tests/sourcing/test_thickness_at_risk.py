"""What resawing risks, held to published cases and to trade budgets derived from them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from yieldopt.sourcing.lay.thickness import spare
from yieldopt.wood.lumber import Board, Shop

FLAT = Board("B", "oak", "8/4", F(2), F(96), F(8), F(2))


def test_two_layers_of_8_4() -> None:
    """Budget for flat 8/4 at 2 in: 0.89 each at best, 0.75 to 0.81 typically, 0.59 stressed. Derived from 2f + 1/8 to 2f + 1/4
    for two walls (woodmagazine.com, 4corner; zhurnalko.net, Popular Woodworking 138) and a 7/8 slice that finished at 1/2
    (woodweb.com, Casehardening, checking and warping)."""
    left = spare(FLAT, F(30), F(6), (F(0), F(0)), Shop())
    assert (left.best, left.typical, left.stressed) == pytest.approx((0.89, 0.75, 0.59), abs=0.006)


def test_to_spare_is_what_the_parts_leave() -> None:
    bare, two = (spare(FLAT, F(30), F(6), t, Shop()) for t in ((F(0), F(0)), (F(5, 8), F(5, 8))))
    assert two.typical == pytest.approx(bare.typical - 0.625)
    assert two.stressed < 0 < two.typical  # two 5/8 come out of 8/4, but not of stressed 8/4


def test_tested_wood_is_not_stressed() -> None:
    left = spare(replace(FLAT, stress="tested"), F(30), F(6), (F(3, 4), F(3, 4)), Shop())
    assert left.stressed == left.typical == pytest.approx(0.0625)


def test_one_layer_is_not_resawn() -> None:
    with pytest.raises(ValueError, match="not resawn"):
        spare(FLAT, F(30), F(6), (F(3, 4),), Shop())
