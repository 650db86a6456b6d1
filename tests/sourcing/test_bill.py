"""Dealers' bills, held to published tally examples and to sums by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from yieldopt.luck.bill import bill
from yieldopt.wood.lumber import PriceLine

LINE = PriceLine("Hand", "oak", "4/4", F(1), "fas", F(5), tally="rounded")


@pytest.mark.parametrize(
    ("quarters", "nominal", "width", "length", "feet"),
    [
        # The rule: width with its fraction times whole feet over 12, to the nearest foot, times thickness; under 4/4 counts as
        # 4/4 (goodwoodcorp.com, Hardwood lumber terminology; NHLA Rules Corner, December 2020). The sums are by hand.
        ("4/4", F(1), F(13, 2), F(99), 4),  # 6.5 x 8 / 12 = 4.33 -> 4
        ("8/4", F(2), F(13, 2), F(99), 8),
        ("4/4", F(1), F(35, 4), F(120), 7),  # 8.75 x 10 / 12 = 7.29 -> 7
        ("3/4", F(3, 4), F(12), F(96), 8),  # 8 surface feet, counted as an inch
        ("5/4", F(5, 4), F(6), F(96), 5),  # 4 x 1.25
        ("4/4", F(1), F(27, 4), F(96), 5),  # exactly 4.5: up, against the buyer
    ],
)
def test_rounded_tally(quarters: str, nominal: F, width: F, length: F, feet: int) -> None:
    assert bill(replace(LINE, quarters=quarters, nominal=nominal), length, width).board_feet == feet


def test_exact_tally() -> None:
    assert bill(replace(LINE, tally="exact"), F(99), F(13, 2)).board_feet == F(99) * F(13, 2) / 144


def test_surcharges_and_surfacing() -> None:
    line = replace(LINE, wide_over=F(9), wide_surcharge=F(1, 4), long_over=F(120), long_surcharge=F(1, 10), surfacing_bf=F(1, 2))
    assert bill(line, F(96), F(9)).cost == 6 * F(11, 2)  # at the limit, not over it
    assert bill(line, F(96), F(12)).cost == 8 * (5 * F(5, 4) + F(1, 2))
    assert bill(line, F(132), F(12)).cost == 11 * (5 * F(27, 20) + F(1, 2))
