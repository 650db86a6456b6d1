"""Surface measure and board feet against published worked examples; the source stands beside each."""

from fractions import Fraction as F

import pytest

from yieldopt.trade.tally import HalfRounder, counted_thickness, surface_measure, tally, whole_feet
from yieldopt.wood.lumber import Board

AHEC = "American Hardwood Export Council, Grading of sawn lumber: measurement (americanhardwood.org), undated"
GUIDE = "measuring guide text after the hardwood grading rules, reprinted at gophuongdong.com, undated"
SW_1998 = "Hardwood grading article, S&W Report vol. 12, 1998, reprinted at goodwoodcorp.com"
KING = "King, C. A., Elements of Woodwork, American Book Company, 1911 (year from memory)"
TERMS = "Hardwood lumber terminology, goodwoodcorp.com, undated"


def board(width, length, nominal=F(1), **more):
    return Board("B", "ash", "4/4", nominal, F(length), F(width), nominal, **more)


@pytest.mark.parametrize(
    ("width", "length", "exact", "rounded", "source"),
    [
        (F(25, 4), 8 * 12, F(4) + F(1, 6), 4, AHEC),
        (F(13, 2), 8 * 12, F(4) + F(1, 3), 4, GUIDE),
        (F(8), 12 * 12, F(8), 8, GUIDE),
        (F(10), 13 * 12, F(10) + F(10, 12), 11, GUIDE),
        # 6-7/16 in wide, 10 ft 9 in long: printed as 5.36, the nine inches dropped and the width's fraction kept.
        (F(103, 16), 10 * 12 + 9, F(103, 16) * 10 / 12, 5, SW_1998),
        (F(35, 4), 12 * 12, F(35, 4), 9, KING),
        (F(37, 4), 12 * 12, F(37, 4), 9, KING),
        # The board of a grading example in the same guide text.
        (F(33, 4), 12 * 12, F(33, 4), 8, GUIDE),
    ],
)
def test_surface_measure_as_printed(width, length, exact, rounded, source):
    assert surface_measure(width, F(length)) == exact, source
    assert HalfRounder().round(exact) == rounded, source
    assert tally([board(width, length)]).boards[0].surface == rounded, source


def test_the_printed_decimal_of_the_odd_length():
    assert round(float(surface_measure(F(103, 16), F(129))), 2) == 5.36, SW_1998


def test_board_feet_round_the_surface_measure_before_multiplying():
    """AHEC: 2 in x 6-1/4 in x 8 ft is 4 1/6, so 4 feet of surface measure and 8 board feet, not 8 1/3."""
    line = tally([board(F(25, 4), 96, F(2))]).boards[0]
    assert (line.surface, line.board_feet) == (4, 8), AHEC
    # The same page's volume formula, W x L x T / 12, is our exact figure.
    assert line.board_feet_exact == F(25, 4) * 8 * 2 / 12, AHEC


def test_lengths_go_down_to_whole_feet():
    """AHEC's export tally: a board 5-1/4 in by 8-1/2 ft counts 8 ft. (That its width then counts 5 in is the rule of the
    export tally alone; a surface measure keeps the fraction: S&W Report, gophuongdong.com.)"""
    assert whole_feet(F(17, 2) * 12) == 8, AHEC


def test_exact_halves_alternate():
    """King: boards 12 ft long and 8-1/2 in wide, one down, the next up. The rule and the boards were read; the printed result
    of the pair was not, so 8 and 9 are completed from the rule. A discussion page says always up: `half` is an option.
    That the grading rules alternate too is from memory."""
    pair = [board(F(17, 2), 144), board(F(17, 2), 144)]
    assert [t.surface for t in tally(pair).boards] == [8, 9], KING
    assert [t.surface for t in tally(pair, "up").boards] == [9, 9]
    assert [t.surface for t in tally(pair, "down").boards] == [8, 8]


def test_thin_stock_counts_as_an_inch():
    assert counted_thickness(F(3, 4)) == counted_thickness(F(1, 2)) == 1, TERMS
    assert tally([board(F(8), 144, F(3, 4))]).boards[0].board_feet == 8, TERMS
    # Thicker stock counts as it is.
    assert tally([board(F(8), 144, F(5, 4))]).boards[0].board_feet == 10, AHEC


def test_a_pack_sums_surface_measure_then_multiplies_then_rounds():
    """goodwoodcorp.com: three boards of 4 feet in 5/4 are 12 feet, 15 board feet; by thickness, each pack by itself."""
    boards = [board(F(25, 4), 96, F(5, 4))] * 3 + [board(F(8), 144)]
    bundle = tally(boards)
    assert bundle.packs == ((F(1), 8, 8), (F(5, 4), 12, 15)), TERMS
    assert bundle.board_feet == 23
