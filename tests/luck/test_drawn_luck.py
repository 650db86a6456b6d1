"""Flaws and mishaps drawn by chance: as many as the rates say, and the same for the same seed."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rails import CERTAIN, ONE, planned

from yieldopt.fragility.study import Candidate
from yieldopt.luck.at_the_saw import cut_board
from yieldopt.luck.play import Game, Rules, play
from yieldopt.luck.poisson import wilson
from yieldopt.luck.rates import Rates
from yieldopt.luck.strokes import hidden_flaws, unlucky
from yieldopt.luck.surprises import shrinkage_factor
from yieldopt.replanning.bench import Bench, Benches
from yieldopt.replanning.noted import NOTHING
from yieldopt.replanning.state import marked
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Board, Defect, Job, Part


def test_hidden_flaws_lie_on_the_board_and_are_as_many_as_the_rate(tight: Candidate) -> None:
    board = replace(ONE, length=F(100), width=F(144, 10), notes={"grade": "No. 1 Common"})
    rates = Rates(hidden=1.0)
    counts = [len(hidden_flaws(board, rates, str(k))) for k in range(400)]
    mean = rates.flaws(board) * 10
    assert rates.flaws(board) == pytest.approx(shrinkage_factor("ash"))
    assert abs(sum(counts) / 400 - mean) < 4 * math.sqrt(mean / 400)
    for d in hidden_flaws(board, Rates(hidden=20.0), "x"):
        assert d.x >= 0
        assert d.x + d.length <= board.length
        assert d.y >= 0
        assert d.y + d.width <= board.width


@given(st.text(max_size=5), st.integers(1, 9))
def test_luck_belongs_to_the_piece_and_the_attempt(draw: str, attempt: int) -> None:
    assert unlucky(draw, "rail#1", attempt, 1.0)
    assert not unlucky(draw, "rail#1", attempt, 0.0)
    assert unlucky(draw, "rail#1", attempt, 0.5) == unlucky(draw, "rail#1", attempt, 0.5)


def test_a_pair_that_loses_one_half_is_lost_whole() -> None:
    doors = Part("door", 2, "walnut", F(5, 8), F(5), F(18), match="doors", match_kind="book")
    job = Job("doors", "in", (doors,), (Board("W1", "walnut", "8/4", F(2), F(23), F(6), F(2), stress="tested"),))
    rules = Rules({"door": 2}, "planned", Rates(hidden=0.0, spoiled=0.3))
    outcomes = [play(Game(job, planned(job)), rules, "pair", k) for k in range(8)]
    assert {o.finished for o in outcomes} == {True, False}
    for o in outcomes:
        assert o.lost == (Counter() if o.finished else Counter({"door": 2}))


@pytest.mark.parametrize(
    ("successes", "draws", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilsons_interval(successes: int, draws: int, low: float, high: float) -> None:
    """Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17, 1998, Table I (the score
    method): from memory."""
    assert wilson(successes, draws) == pytest.approx((low, high), abs=5e-5)


def test_a_board_that_nothing_hits_is_done_without_replaying_it(roomy: Candidate) -> None:
    """The short way and the long one come to the same."""
    bench = Bench(roomy.job.board_named[roomy.plan.boards[0].board], roomy.plan.boards[0])
    made = cut_board(roomy.job, roomy.plan, bench, [], "d", 1, CERTAIN, NOTHING, Benches())
    told = Surprise(done=bench.names, cut_through={bench.board.name: 99})
    assert made.entry == marked(roomy.job, roomy.plan, told).boards[0]
    assert not made.gone
    off = Defect("check", "both", bench.board.length - F(1, 2), F(0), F(1, 2), F(1, 4))
    assert cut_board(roomy.job, roomy.plan, bench, [off], "d", 1, CERTAIN, NOTHING, Benches()).entry == made.entry
    p = bench.plan.pieces[0]
    through = Defect("check", "both", p.x, p.y, p.length, p.width)
    assert cut_board(roomy.job, roomy.plan, bench, [through], "d", 1, CERTAIN, NOTHING, Benches()).gone == {p.piece}
