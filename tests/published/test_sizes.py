"""What thickness the package asks for, against what published tables and makers say comes out of which stock.

The allowances are the package's defaults: 3/32 in a face (a textbook's, see `docs/reference/defaults.md`), a resaw kerf of
1/16 and 1/16 off each sawn face. None of the figures below was used to choose them.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from yieldopt.sizes.sizing import thickness_need
from yieldopt.wood.lumber import Allowances, Shop

TOOLBOX = "Engineering ToolBox, Hardwood lumber: dimensions (undated): rough and surfaced two sides"
SHOP = Shop()


@pytest.mark.parametrize(
    ("rough", "surfaced"),
    [
        (F(3, 4), F(9, 16)),
        (F(1), F(13, 16)),
        (F(5, 4), F(17, 16)),
        (F(3, 2), F(21, 16)),
        (F(7, 4), F(3, 2)),
        (F(2), F(7, 4)),
        (F(3), F(11, 4)),
        (F(7, 2), F(13, 4)),
        (F(4), F(15, 4)),
    ],
)
def test_flat_stock_gives_the_thickness_of_the_surfaced_table(rough: F, surfaced: F) -> None:
    assert thickness_need([surfaced], False, SHOP) <= rough, TOOLBOX
    # And hardly more: a sixteenth thicker than printed does not come out of it, an eighth above 6/4.
    more = F(1, 16) if rough <= F(3, 2) else F(1, 8)
    assert thickness_need([surfaced + more], False, SHOP) > rough, TOOLBOX


# Makers' figures for two layers of f out of one flat, planed blank, from magazines and makers' pages (see the spread in
# `docs/reference/defaults.md`): at least 2 f + 1/8 (a magazine), 2 f + 1/4 (two tips of one maker), about 3 f (another).
@pytest.mark.parametrize("f", [F(3, 8), F(1, 2), F(5, 8), F(3, 4)])
def test_two_layers_ask_for_what_makers_say(f: F) -> None:
    planed = replace(SHOP, allowances=replace(SHOP.allowances, face=F(0)))
    tested, untested = (thickness_need([f, f], t, planed) for t in (True, False))
    assert 2 * f + F(1, 8) <= tested <= 2 * f + F(1, 4)
    assert tested <= untested <= max(3 * f, 2 * f + F(7, 16))


def test_a_planed_inch_and_a_half_gives_two_of_eleven_sixteenths() -> None:
    """ary.com, Lumber preparation: flat 1 1/2 in stock to two 11/16, 1/8 in lost in all; a pass of 1/32 removes a good
    blade's marks (a magazine's blade test, woodworkingarchive.biz)."""
    planed = Shop(allowances=Allowances(face=F(0), sawn_face=F(1, 32)))
    assert thickness_need([F(11, 16)] * 2, True, planed) == F(3, 2)


def test_rough_two_inch_stock_gives_two_of_five_eighths_untested_and_three_quarters_tested() -> None:
    """Trade practice, from forums and makers' pages: 8/4 resawn is planned for two of 5/8, and two of 3/4 only from stock
    that has stayed flat after a test."""
    assert thickness_need([F(5, 8)] * 2, False, SHOP) <= 2 < thickness_need([F(3, 4)] * 2, False, SHOP)
    assert thickness_need([F(3, 4)] * 2, True, SHOP) <= 2
