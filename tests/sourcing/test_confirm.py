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
from yieldopt.sourcing.confirm import LADDER, Trial, confirm, least_rung, suffices, weigh
from yieldopt.sourcing.market import Market
from yieldopt.sourcing.purchase import Basis, draw_needs, smallest
from yieldopt.sourcing.runner import Runner

JOB = slats(F(3, 4), 12, line("4/4", F(1), 4))
MARKET = Market(JOB.prices, JOB.shop, 0, 0.0)
# Three boards of four slats are needed; the purchase tried is five, 20 board feet.
BOARDS = tuple(MARKET.draw(0, 0, n) for n in range(6))
TRIAL = Trial(replace(JOB, boards=(), prices=(), parts=()), JOB.parts, (), (BOARDS,), (20.0,), 1.5)


def test_least_share_that_suffices() -> None:
    assert not suffices(TRIAL, 0.55)  # two boards
    assert suffices(TRIAL, 0.7)  # three
    assert LADDER[least_rung(TRIAL)] == 0.7


def test_what_hidden_flaws_spoil_is_made_again() -> None:
    """A flaw right through the middle of the first board spoils two slats at most; they need a fourth board."""
    hole = Defect("worm", "both", F(0), F(0), F(96), F(1))
    spoilt = (replace(BOARDS[0], hidden=(hole,)), *BOARDS[1:])
    assert not suffices(replace(TRIAL, boards=(spoilt,)), 0.7)
    assert suffices(replace(TRIAL, boards=(spoilt,)), 0.85)


def test_species_multiply() -> None:
    """Two species: one always makes it on the second rung, the other in 9 of 10 draws, in all on the third."""
    feet = {"oak": {0: 100.0}, "ash": {1: 40.0}}
    rungs = {"oak": [1] * 20, "ash": [1] * 18 + [2] * 2}
    found = weigh(rungs, feet, 0.95)
    assert found is not None
    assert found.feet == {0: LADDER[1] * 100, 1: LADDER[2] * 40}
    assert found.least_chance == 1
    assert found.enough_draws
    lower = weigh(rungs, feet, 0.9)
    assert lower is not None
    assert lower.feet == {0: LADDER[1] * 100, 1: LADDER[1] * 40}
    assert lower.least_chance == pytest.approx(0.9)
    # The error of a product of independent shares: relative errors in squares.
    assert lower.least_error == pytest.approx(0.9 * math.hypot(_error(1.0) / 1.0, _error(0.9) / 0.9))


def _error(share: float) -> float:
    p = (share * 20 + 2) / 24
    return math.sqrt(p * (1 - p) / 24)


def test_none_suffices() -> None:
    found = weigh({"oak": [len(LADDER)] * 4}, {"oak": {0: 10.0}}, 0.95)
    assert found is not None
    assert found.feet is None
    assert found.chance == 0
    assert weigh({"oak": []}, {"oak": {}}, 0.95) is None


def test_another_executor_takes_the_pools_place() -> None:
    basis = Basis.of(JOB, None, {"slat": 12})
    with ThreadPoolExecutor(2) as threads, Runner(threads, 2) as runner:
        needs = draw_needs(basis, {"slat": 0}, MARKET, 20, Deadline(20), runner)
        assert needs == draw_needs(basis, {"slat": 0}, MARKET, 20, Deadline(20))
        purchase = smallest(needs, 0.95)
        assert purchase is not None
        assert purchase.feet == {0: 12.0}
        found = confirm(basis, purchase, {"slat": 0}, MARKET, 0.95, 3, runner, Deadline(60), 1.5, silent)
    assert found is not None
    assert (found.draws, found.chance, found.feet) == (3, 1.0, {0: 12.0})
