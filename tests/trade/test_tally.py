"""The tally: what must hold for any bundle."""

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yieldopt.trade.tally import GREEN_SHARE, HalfRounder, tally, tally_width
from yieldopt.wood.lumber import Board, EdgePoint

sizes = st.tuples(st.integers(16, 200), st.integers(12 * 16, 200 * 16), st.integers(2, 16))


def board(width_16ths, length_16ths, quarters, **more):
    thick = F(quarters, 4)
    return Board("B", "ash", f"{quarters}/4", thick, F(length_16ths, 16), F(width_16ths, 16), thick, **more)


@given(st.lists(sizes, max_size=12), st.sampled_from(["alternate", "up", "down"]))
def test_surface_measure_is_the_nearest_whole_foot(made, half):
    bundle = tally([board(*m) for m in made], half)
    for line in bundle.boards:
        assert abs(line.surface - line.surface_exact) <= F(1, 2)
        assert line.surface_exact <= line.board.width * line.board.length / 144
        assert line.board_feet == line.surface * max(F(1), line.board.nominal)
    assert sum(s for _, s, _ in bundle.packs) == sum(t.surface for t in bundle.boards)
    assert abs(bundle.board_feet - sum((t.board_feet for t in bundle.boards), F(0))) <= F(len(bundle.packs), 2)


@given(st.lists(st.sampled_from([F(1, 2), F(3, 2), F(17, 2), F(1, 4)]), max_size=40))
def test_halves_even_out(values):
    """Alternating, the sum is never more than half a foot off over boards that lie at a half."""
    rounder = HalfRounder()
    halves = [v for v in values if v % 1 == F(1, 2)]
    # Whatever is not a half leaves the alternation alone.
    total = sum(rounder.round(v) for v in values) - sum(round(v) for v in values if v not in halves)
    assert abs(total - sum(halves, F(0))) <= F(1, 2)


def test_taper_is_measured_a_third_from_the_narrow_end():
    for at_datum, at_far in ((6, 9), (9, 6)):
        edges = (EdgePoint(F(0), F(0), F(at_datum)), EdgePoint(F(120), F(0), F(at_far)))
        assert tally_width(Board("B", "ash", "4/4", F(1), F(120), F(0), F(1), edges=edges)) == 7


def test_prices():
    by_foot = board(8 * 16 + 8, 120 * 16, 4, price_bf=F(10))
    own = board(8 * 16, 120 * 16, 4, cost=F(31), price_bf=F(10))
    metric = board(8 * 16, 120 * 16, 4, price_m3=F(5000))
    unknown = board(8 * 16, 120 * 16, 4)
    lines = tally([by_foot, own, metric, unknown]).boards
    assert (lines[0].price, lines[0].price_exact) == (70, F(17, 2) * 10 / 12 * 10)
    assert (lines[1].price, lines[1].price_exact) == (31, 31)
    assert lines[2].price == lines[2].price_exact == metric.price
    assert lines[3].price is lines[3].price_exact is None
    # Zero is a price, not the lack of one.
    assert tally([board(128, 1920, 4, cost=F(0))]).boards[0].price == 0


def test_green_tally_is_larger_by_its_share():
    bundle = tally([board(8 * 16, 144 * 16, 4)] * 10)
    assert bundle.board_feet == 80
    assert bundle.green() == 80 * (1 + GREEN_SHARE)
    assert bundle.green(F(0)) == 80


def test_an_empty_bundle():
    assert tally([]).board_feet == 0


@pytest.mark.parametrize(("rule", "expected"), [("alternate", [0, 2, 2, 4]), ("up", [1, 2, 3, 4]), ("down", [0, 1, 2, 3])])
def test_each_rule_for_halves(rule, expected):
    rounder = HalfRounder(rule)
    assert [rounder.round(F(n) + F(1, 2)) for n in range(4)] == expected
