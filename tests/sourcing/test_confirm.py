"""Purchases tried with the planner, on draws that can be worked by hand."""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from fractions import Fraction as F

import pytest
from by_hand import line, silent, slats

from yieldopt.deadline import Deadline
from yieldopt.lumber import Defect
from yieldopt.sourcing.confirm import FULL, LADDER, Record, confirm, weigh
from yieldopt.sourcing.market import Market
from yieldopt.sourcing.purchase import Basis, draw_needs, smallest
from yieldopt.sourcing.runner import Runner
from yieldopt.sourcing.trial import Trial, suffices

JOB = slats(F(3, 4), 12, line("4/4", F(1), 4))
MARKET = Market(JOB.prices, JOB.shop, 0, 0.0)
# Three boards of four slats are needed; the purchase tried is five, 20 board feet.
BOARDS = tuple(MARKET.draw(0, 0, n) for n in range(6))
TRIAL = Trial(replace(JOB, boards=(), prices=(), parts=()), JOB.parts, (), (BOARDS,), (20.0,), (frozenset({"slat"}),), 1.5)


def test_least_share_that_suffices() -> None:
    assert not suffices(replace(TRIAL, share=0.5))  # two boards
    assert suffices(replace(TRIAL, share=0.6))  # three


def test_what_hidden_flaws_spoil_is_made_again() -> None:
    """A flaw right through the middle of the first board spoils two slats at most; they need a fourth board."""
    hole = Defect("worm", "both", F(0), F(0), F(96), F(1))
    spoilt = (replace(BOARDS[0], hidden=(hole,)), *BOARDS[1:])
    assert not suffices(replace(TRIAL, boards=(spoilt,), share=0.6))
    assert suffices(replace(TRIAL, boards=(spoilt,), share=0.8))


def test_what_suffices_on_a_lower_rung_does_on_a_higher_one() -> None:
    r = Record([3] * 4, {(2, 0): True, (4, 1): False, (3, 2): True})
    assert r.known(3) == {0: True, 1: False, 2: True}
    assert r.known(5) == {0: True, 2: True}


def test_sorts_of_draws_count_by_their_share() -> None:
    """Of 100 draws quick layouts make 80 on the rung. Of these the planner tried 8 and made all; of the others it tried 4 and
    made 3: 0.8 + 0.2 x 0.75."""
    quick = [FULL] * 80 + [FULL + 1] * 20
    planned = {(FULL, d): True for d in range(8)} | {(FULL, 80 + d): d > 0 for d in range(4)}
    found = Record(quick, planned).chance(FULL)
    assert found is not None
    assert found[0] == pytest.approx(0.8 + 0.2 * 0.75)
    parts = (0.8 * _error(1.0, 8)) ** 2 + (0.2 * _error(0.75, 4)) ** 2 + 0.8 * 0.2 * 0.25**2 / 100
    assert found[1] == pytest.approx(math.sqrt(parts))
    # Hard draws not tried count as failed; without any easy one tried nothing is known.
    assert Record(quick, {(FULL, 0): True}).chance(FULL) == (
        pytest.approx(0.8),
        pytest.approx(math.hypot(0.8 * _error(1.0, 1), 0.04)),
    )
    assert Record(quick, {}).chance(FULL) is None


def _error(share: float, draws: int) -> float:
    p = (share * draws + 2) / (draws + 4)
    return math.sqrt(p * (1 - p) / (draws + 4))


def test_species_multiply() -> None:
    """Two species: one always makes it on the lowest rung, the other in 9 of 10 draws, in all on the next."""
    feet = {"oak": {0: 100.0}, "ash": {1: 40.0}}
    oak = Record([0] * 20, {(0, d): True for d in range(20)})
    ash = Record([0] * 20, {(0, d): d > 1 for d in range(20)} | {(1, d): True for d in range(2)})
    found = weigh({"oak": oak, "ash": ash}, feet, 0.95)
    assert found is not None
    assert found.feet == {0: LADDER[0] * 100, 1: LADDER[1] * 40}
    assert found.least_chance == 1
    assert found.enough_draws
    lower = weigh({"oak": oak, "ash": ash}, feet, 0.9)
    assert lower is not None
    assert lower.feet == {0: LADDER[0] * 100, 1: LADDER[0] * 40}
    assert lower.least_chance == pytest.approx(0.9)
    # The error of a product of independent shares: relative errors in squares.
    assert lower.least_error == pytest.approx(0.9 * math.hypot(_error(1.0, 20) / 1.0, _error(0.9, 20) / 0.9))


def test_none_suffices() -> None:
    found = weigh(
        {"oak": Record([0] * 4, {(k, d): False for k in range(len(LADDER)) for d in range(4)})}, {"oak": {0: 10.0}}, 0.95
    )
    assert found is not None
    assert found.feet is None
    assert found.chance == 0
    assert weigh({"oak": Record([0] * 4)}, {"oak": {}}, 0.95) is None


def test_another_executor_takes_the_pools_place() -> None:
    basis = Basis.of(JOB, None, {"slat": 12})
    with ThreadPoolExecutor(2) as threads, Runner(threads, 2) as runner:
        needs = draw_needs(basis, {"slat": 0}, MARKET, 20, Deadline(20), runner)
        assert needs == draw_needs(basis, {"slat": 0}, MARKET, 20, Deadline(20))
        purchase = smallest(needs, 0.95)
        assert purchase is not None
        assert purchase.feet == {0: 12.0}
        found = confirm(basis, purchase, needs, {"slat": 0}, MARKET, 0.95, runner, Deadline(60), 1.5, silent)
    assert found is not None
    # Three boards of 4 board feet are what it takes: on no smaller share of them are twelve slats to be had.
    assert (found.draws, found.chance, found.feet) == (20, 1.0, {0: 12.0})
