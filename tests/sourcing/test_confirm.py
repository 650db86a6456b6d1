"""Purchases tried with the planner and made smaller, on draws that can be worked by hand."""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from fractions import Fraction as F

import pytest
from by_hand import NO_END, line, silent, slats

from yieldopt.ground.deadline import Deadline
from yieldopt.sourcing.market.lines import Market
from yieldopt.sourcing.purchase import trial
from yieldopt.sourcing.purchase.confirm import confirm
from yieldopt.sourcing.purchase.needs import Basis, draw_needs, least_for, nearest
from yieldopt.sourcing.purchase.shrinking import Shrinking
from yieldopt.sourcing.purchase.smallest import smallest
from yieldopt.sourcing.purchase.trial import Trial, reason_is_proof, suffices
from yieldopt.sourcing.purchase.tried import Record, Share, together
from yieldopt.wood.lumber import Defect
from yieldopt.workers.runner import Runner

JOB = slats(F(3, 4), 12, line("4/4", F(1), 4))
MARKET = Market(JOB.prices, JOB.shop, 0, 0.0)
# Three boards of four slats are needed, of 4 board feet each.
BOARDS = tuple(MARKET.draw(0, 0, n) for n in range(6))
TRIAL = Trial(replace(JOB, boards=(), prices=(), parts=()), JOB.parts, (), (BOARDS,), (20.0,), (frozenset({"slat"}),), 9.0, 30)


def test_least_stock_that_suffices() -> None:
    assert suffices(replace(TRIAL, stock=(8.0,))) == "lacking"  # two boards: too little wood, proven
    assert suffices(replace(TRIAL, stock=(12.0,))) == "made"


def test_a_search_that_ran_out_is_not_known(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two boards have the volume, and no plan was found in the time: that is no proof that there is none."""
    from yieldopt.wood.plan import Plan, Totals, Unplaced

    def late(*_: object, **__: object) -> Plan:
        why = "no room found in the time beside the parts placed; not proven that there is none"
        return Plan("j", "in", (), (Unplaced("slat", 1, why),), Totals(0.0, None, None, 0.0, 0, 0.0))

    monkeypatch.setattr(trial, "plan_parts", late)
    assert suffices(replace(TRIAL, stock=(12.0,))) == "not known"


def test_what_a_reason_proves() -> None:
    assert reason_is_proof("slat can't all come from B1 (proven)")
    assert not reason_is_proof("no room found in the time; not proven that there is none")
    assert not reason_is_proof("")


def test_what_hidden_flaws_spoil_is_made_again() -> None:
    """A flaw along the edge of the first board spoils its four slats; they need a fourth board."""
    hole = Defect("worm", "both", F(0), F(0), F(96), F(1))
    spoilt = (replace(BOARDS[0], hidden=(hole,)), *BOARDS[1:])
    assert suffices(replace(TRIAL, boards=(spoilt,), stock=(12.0,))) != "made"
    assert suffices(replace(TRIAL, boards=(spoilt,), stock=(16.0,))) == "made"


def test_boards_that_come_nearest() -> None:
    """Of boards of 4 and 6 board feet, the sums are 4, 10, 16: 7 is as near to 4 as to 10, and the more is taken."""
    sums = (4.0, 10.0, 16.0)
    assert [nearest(sums, x) for x in (1, 6.9, 7, 12, 13, 99)] == [1, 1, 2, 2, 3, 3]
    assert (least_for(sums), least_for(sums[:2]), least_for(())) == (13.0, 7.0, 0.0)
    assert nearest(sums, least_for(sums)) == 3


def test_what_suffices_does_with_more_of_any_line() -> None:
    r = Record([(9.0, 9.0)] * 4, {((5.0, 5.0), 0): "made", ((5.0, 5.0), 1): "lacking", ((4.0, 6.0), 2): "not known"})
    assert r.known((6.0, 5.0)) == {0: "made"}
    assert r.known((5.0, 4.0)) == {1: "lacking"}
    assert r.known((4.0, 6.0)) == {2: "not known"}


def test_sorts_of_draws_count_by_their_share() -> None:
    """Of 100 draws quick layouts make 80 of the stock. Of these the planner tried 8 and made all; of the others it tried 4: two
    made, one lacking, one not settled: 0.8 + 0.2 x 1/2 are made, 0.2 x 1/4 not known."""
    needs = [(10.0,)] * 80 + [(12.0,)] * 20
    answers = {80: "made", 81: "made", 82: "lacking", 83: "not known"} | dict.fromkeys(range(8), "made")
    found = Record(needs, {((10.0,), d): a for d, a in answers.items()}).share((10.0,))  # type: ignore[misc]
    assert found is not None
    assert (found.made, found.not_known, found.draws) == (pytest.approx(0.9), pytest.approx(0.05), 12)
    parts = (0.8 * _error(1.0, 8)) ** 2 + (0.2 * _error(0.5, 4)) ** 2 + 0.8 * 0.2 * 0.5**2 / 100
    assert found.error == pytest.approx(math.sqrt(parts))
    # Hard draws that were not tried are not known; without any easy one tried nothing is.
    only = Record(needs, {((10.0,), 0): "made"}).share((10.0,))
    assert only is not None
    assert (only.made, only.not_known) == (pytest.approx(0.8), pytest.approx(0.2))
    assert Record(needs).share((10.0,)) is None


def _error(share: float, draws: int) -> float:
    p = (share * draws + 2) / (draws + 4)
    return math.sqrt(p * (1 - p) / (draws + 4))


def test_species_multiply() -> None:
    both = together({"oak": Share(1.0, 0.03, 0.0, 20), "ash": Share(0.9, 0.05, 0.1, 12)})
    assert both.made == pytest.approx(0.9)
    assert both.not_known == pytest.approx(0.1)
    assert both.draws == 12
    assert both.error == pytest.approx(0.9 * math.hypot(0.03, 0.05 / 0.9))


@pytest.mark.parametrize("least", [(20.0, 31.0), (37.0, 60.0), (12.0, 22.0)])
def test_lines_are_made_smaller_one_by_one(least: tuple[float, float]) -> None:
    """Every draw can be made from `least`, of which quick layouts know nothing: each line comes down to within a board of it,
    though one shrinks by far more than the other."""
    s = Shrinking(Record([(40.0, 60.0)] * 40), (40.0, 60.0), (4.0, 5.0), (2.0, 3.0), (0.0, 0.0), 0.95)
    begun: list[tuple[tuple[float, ...], int]] = []
    for _ in range(2000):
        if s.done or (d := s.draw(begun)) is None:
            break
        begun.append((s.now, d))
        enough = all(a >= b for a, b in zip(s.now, least, strict=True))
        s.record.tried[s.now, d] = "made" if enough else "not known"
        s.settle()
    assert s.done
    assert s.found is not None
    assert all(have >= need for have, need in zip(s.found, least, strict=True))
    assert all(have - need <= board for have, need, board in zip(s.found, least, (4.0, 5.0), strict=True))


def test_a_stock_that_quick_layouts_underrate_is_raised() -> None:
    s = Shrinking(Record([(20.0,)] * 30), (20.0,), (4.0,), (2.0,), (0.0,), 0.95)
    begun: list[tuple[tuple[float, ...], int]] = []
    while not s.done and (d := s.draw(begun)) is not None:
        begun.append((s.now, d))
        s.record.tried[s.now, d] = "made" if s.now[0] >= 23 else "lacking"
        s.settle()
    assert s.found is not None
    assert 23 <= s.found[0] <= 26


def test_another_executor_takes_the_pools_place() -> None:
    basis = Basis.of(JOB, None, {"slat": 12})
    with ThreadPoolExecutor(2) as threads, Runner(threads, 2, plans=60) as runner:
        needs = draw_needs(basis, {"slat": 0}, MARKET, 20, Deadline(NO_END), runner)
        assert needs == draw_needs(basis, {"slat": 0}, MARKET, 20, Deadline(NO_END))
        purchase = smallest(needs, 0.95, MARKET)
        assert purchase is not None
        assert (purchase.feet, purchase.boards, purchase.money) == ({0: 12.0}, {0: 3}, {0: 48.0})
        found = confirm(basis, purchase, needs, {"slat": 0}, MARKET, 0.95, runner, Deadline(NO_END), 9.0, silent, 30)
    assert found is not None
    assert found.share is not None
    # Three boards of 4 board feet are what it takes: with two no twelve slats are to be had. Fresh draws say so too.
    assert found.stock == purchase.stock
    assert (found.share.made, found.share.not_known, found.whole) == (1.0, 0.0, True)
    assert found.fresh.draws > 0
    assert (found.fresh.made, found.fresh.lacking, found.fresh.not_known) == (found.fresh.draws, 0, 0)


def test_counted_plans_come_in_order_and_in_number() -> None:
    """Where plans are counted the clock plays no part: so many tasks, results in their order."""
    with ThreadPoolExecutor(4) as threads, Runner(threads, 4, plans=10) as runner:
        tasks = ((n, n) for n in range(100))
        assert list(runner.run(abs, tasks, Deadline(NO_END), 1.0, 0.5)) == [(n, n) for n in range(5)]
        assert len(list(runner.run(abs, ((n, n) for n in range(30)), Deadline(NO_END), 0.0))) == 30
