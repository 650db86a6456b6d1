"""Break-evens and chances that can be worked by hand."""

from __future__ import annotations

import random
from statistics import NormalDist

import pytest

from yieldopt.luck.chance import enough, mean_and_error, share_error, share_met
from yieldopt.sourcing.ways.turning import Cost, break_even_scale


@pytest.mark.parametrize(
    ("thick", "thin", "equal", "eight_points_less"),
    # Derived by hand from cost a finished square foot; the 8 points (59 -> 51 %) from woodworkingnetwork.com, Improving yield.
    [(2, 1, 1.00, 0.86), (3, 1, 1.50, 1.30), (3, 2, 0.75, 0.65), (4, 2, 1.00, 0.86)],
)
def test_break_even_from_wood_alone(thick: int, thin: int, equal: float, eight_points_less: float) -> None:
    """A square foot of thick stock is twice the board feet of thin and gives `thick` layers against `thin`."""

    def break_even(yield_thick: float) -> float | None:
        return break_even_scale(Cost(1 / (thin * 0.59), 0), Cost(0, 2 / (thick * yield_thick)))

    assert break_even(0.59) == pytest.approx(equal)
    assert break_even(0.51) == pytest.approx(eight_points_less, abs=0.005)


def test_two_lines_cross() -> None:
    """100 against 20 + 60 s: s = 4/3; with 10 s in the first as well: 80 / 50."""
    assert break_even_scale(Cost(100, 0), Cost(20, 60)) == pytest.approx(4 / 3)
    assert break_even_scale(Cost(100, 10), Cost(20, 60)) == pytest.approx(1.6)
    assert break_even_scale(Cost(100, 60), Cost(20, 60)) is None


def test_newsvendor_with_uniform_need() -> None:
    """Need even over 0 to 100, bought at 5, sold at 8, salvage 2: critical fractile (8 - 5) / (8 - 2) = 1/2, so 50
    (the newsvendor's closed form; Arrow, Harris and Marschak, Econometrica 19, 1951, from memory)."""
    needs = [k / 100 for k in range(1, 10_001)]
    assert enough(needs, (8 - 5) / (8 - 2)) == pytest.approx(50)


def test_newsvendor_with_normal_need_and_its_error() -> None:
    """Mean 40, deviation 6: 95 % need 40 + 6 x 1.645. The estimate comes nearer with the draws, as 1 / sqrt(n)."""
    known = NormalDist(40, 6).inv_cdf(0.95)
    rng = random.Random(5)
    for draws in (100, 1600, 25_600):
        needs = [rng.gauss(40, 6) for _ in range(draws)]
        # Error of a quantile: sqrt(p (1 - p) / n) over the density there.
        error = (0.95 * 0.05 / draws) ** 0.5 / NormalDist(40, 6).pdf(known)
        assert abs(enough(needs, 0.95) - known) < 4 * error
        assert share_met(needs, enough(needs, 0.95)) >= 0.95


def test_least_stock_is_least() -> None:
    assert enough([4.0, 1.0, 3.0, 2.0], 0.75) == 3.0
    assert share_met([4.0, 1.0, 3.0, 2.0], 2.9) == 0.5
    with pytest.raises(ValueError, match="no trials"):
        enough([], 0.95)


def test_errors_are_never_nothing() -> None:
    assert 0.01 < share_error(1.0, 40) < 0.06
    assert mean_and_error([3.0]) == (3.0, None)
    assert mean_and_error([1.0, 3.0]) == (2.0, 1.0)
