"""Every reason why a part has no place or a board is not cut, each on the smallest job that has it."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction as F

import pytest
from small_jobs import board, job, part

from yieldopt.checking import check
from yieldopt.planning import plan_job
from yieldopt.planning.wood.stock import whole_board
from yieldopt.records.sections import Tightest
from yieldopt.records.why import WHY, reasons_of, why_lines
from yieldopt.wood.lumber import Defect, EdgePoint, Job, Pin, Shop

BOOK = {"match": "doors", "match_kind": "book"}


def check_across(x: int) -> Defect:
    return Defect("check", "both", F(x), F(0), F(1), F(7))


corners = tuple(Defect("knot", "both", F(x), F(y), F(1), F(1)) for x in (0, 59) for y in (0, 6))
CASES = {
    "species": (job([part(species="elm")], [board()]), "no board of elm"),
    "left out": (
        job([part(sources=("B",))], [board(), board("C")], leave=frozenset({"B"})),
        "the boards it may come from are left out",
    ),
    "sawn": (job([part(sawn="quarter")], [board(sawn="flat")]), "no board of oak is quarter-sawn"),
    "unknown is not quarter": (job([part(sawn="quarter")], [board()]), "no board of oak is quarter-sawn"),
    "too wide to mill": (job([part(width=13)], [board(width=20)]), "rough width 13 1/4.* more than the machines take, 13"),
    "too wide to resaw": (job([part(qty=2, width=10, **BOOK)], [board(width=20, quarters=8)]), "10 1/4.*machines take, 10"),
    "too thick": (job([part(thickness=F(1))], [board()]), "needs 1 3/16.* of thickness; the thickest such board has 1"),
    "layers": (job([part(qty=2, **BOOK)], [board(quarters=8)]), "needs 2 1/8.* for 2 layers; the thickest such board has 2"),
    "too long": (job([part(length=60)], [board()]), "rough length 61.*; the longest such board has 60"),
    # 1 in of bow over 60 in takes (41/60)^2 of it, 0.467 in; 0.533 in are left.
    "warp": (job([part(length=40)], [board(bow=F(1))]), 'too thin for 15/16" once warp is off: B has ~17/32"'),
    "trim": (job([part(length=57)], [board()]), 'too short for 58" between trimmed ends: B has 56"'),
    "crook": (job([part(length=50, width=6)], [board(crook=F(2))]), 'its crook of 2" leaves no room for 51" x 6 1/4": B'),
    # One check across the middle leaves 27 in on either side; knots in the corners don't matter.
    "a defect": (
        job([part(length=40)], [board(defects=(check_across(29), *corners))]),
        'the check at 29", 0" leaves no clear 41" x 2 1/4": B',
    ),
    # Two checks, neither of which is in the way by itself, and a third that is no matter.
    "two defects": (
        job([part(length=24)], [board(defects=(check_across(8), check_across(24), check_across(49)))]),
        'the check at 24", 0" and the check at 49", 0" together leave no clear 25" x 2 1/4": B',
    ),
    "pin": (
        job([part()], [board(defects=(check_across(29),))], pins=(Pin("rail#1", "B", F(20), F(1)),)),
        'rail#1 can\'t lie at its pin on B, 20", 1": the check at 29", 0" is in the way',
    ),
    "pin off the board": (
        job([part()], [board()], pins=(Pin("rail#1", "B", F(50), F(1)),)),
        'rail#1 can\'t lie at its pin on B, 50", 1": the blank is not inside the usable board',
    ),
    "too many": (job([part(qty=3, length=40)], [board(width=5)]), "3 x rail can't all come from B, the only board that takes"),
    "fewer are too many": (job([part(qty=5, length=40)], [board(width=5)]), "3 x rail can't all come from B"),
    # The slats go beside either of them, and the ash has nothing to do with it.
    "two parts": (
        job(
            [part(length=50), part("stile", length=50), part("slat", 1, 1, 30), part("other", species="ash")],
            [board(width=4), board("A", species="ash")],
        ),
        "1 x rail and 1 x stile can't all come from B, the only board that takes them",
    ),
    "too many for a group": (
        job([part(qty=3, length=40, match="frame", match_kind="board")], [board(width=5), board("C", width=5)]),
        r"3 x rail on one board \(frame\) can't all come from B, C \(proven\)",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_reason(name: str) -> None:
    j, why = CASES[name]
    plan = plan_job(j, seconds=600, steps=12, after=10).plan
    assert not check(j, plan)
    (unplaced,) = plan.unplaced
    assert re.search(why, unplaced.why), unplaced.why


def test_without_time_for_reasons_nothing_is_claimed() -> None:
    plan = plan_job(CASES["too many"][0], seconds=600, steps=10).plan
    assert [u.why for u in plan.unplaced] == ["no room found in the time beside the parts placed; not proven that there is none"]
    assert not any(isinstance(s, WHY) for s in plan.sections)


def test_a_part_beside_the_conflict_is_told_apart_from_it() -> None:
    """Two rails too many fill the board; the pull, which would go alone, is no part of that conflict."""
    j = job([part(qty=4, length=50), part("pull", 8, width=3, length=13)], [board(width=5)])
    why = {u.part: u.why for u in plan_job(j, seconds=600, steps=8, after=10).plan.unplaced}
    assert why["rail"].startswith("3 x rail can't all come from B")
    assert "pull" in why["pull"] or "no room found in the time beside the parts placed" in why["pull"]


def test_part_without_enough_wood_keeps_its_count() -> None:
    """Two strips of 2-1/4 go into 5 in, not three."""
    plan = plan_job(CASES["too many"][0], seconds=600, steps=10).plan
    assert [(u.part, u.qty) for u in plan.unplaced] == [("rail", 1)]


def test_reasons_use_the_units_of_the_job() -> None:
    j = Job("mm", "mm", (part(length=60),), (board(),), Shop())
    assert "1549.4" in plan_job(j, seconds=600, steps=10).plan.unplaced[0].why


# Boards beside "B", which gives the rail for 20.
LEFT = {
    "species": (board("X", species="ash"), "no part is of ash"),
    "leave": (board("leave me"), "to be left alone"),
    "thickness": (board("X", quarters=3), 'takes no part, but it is too thin for 15/16" once warp is off: 3/4"'),
    "length": (board("X", length=20), 'takes no part, but it is too short for 21" between trimmed ends: 16"'),
    "width": (board("X", width=2), 'takes no part, but it is too narrow for 2 1/4": 2"'),
    "outline": (
        board("X", width=3, edges=(EdgePoint(F(0), F(0), F(3)), EdgePoint(F(30), F(2), F(4)), EdgePoint(F(60), F(0), F(3)))),
        'takes no part: its outline leaves no room for 21" x 2 1/4"',
    ),
    "defects": (
        board("X", length=30, defects=(check_across(14),)),
        'takes no part: the check at 14", 0" leaves no clear 21" x 2 1/4"',
    ),
    "price": (board("X", cost=90), "costs 90.00; its wood would save about"),
    "a twin": (board("X"), "as good as the boards cut, but the plan does without it (20.00)"),
}


@pytest.mark.parametrize("name", LEFT)
def test_why_a_board_is_not_cut(name: str) -> None:
    other, why = LEFT[name]
    j = job([part()], [board(), other], leave=frozenset({"leave me"}))
    plan = plan_job(j, seconds=20, until_gap=0.3, after=10).plan
    assert [b.board for b in plan.boards] == ["B"]
    reasons = reasons_of(plan)
    assert list(reasons) == [other.name]
    assert reasons[other.name].startswith(why), reasons


@pytest.mark.parametrize(
    ("length", "why"),
    [(90, "more of its wood would be used up than it saves on the boards cut"), (60, "as good as the boards cut, but")],
)
def test_of_boards_without_a_price_no_money_is_said(length: int, why: str) -> None:
    j = job([part()], [board(cost=0), board("X", length=length, cost=0)])
    plan = plan_job(j, seconds=20, until_gap=0.3, after=10).plan
    assert [b.board for b in plan.boards] == ["B"]
    assert reasons_of(plan)["X"].startswith(why)
    assert "0.00" not in reasons_of(plan)["X"]


def test_every_board_is_cut_or_has_its_reason_and_every_part_a_place_or_one() -> None:
    from bench.families import mixed

    j = mixed(2)
    j = replace(j, parts=tuple(p for n, p in enumerate(j.parts) if n % 2 or p.match))
    for some in (j, replace(j, boards=j.boards[:5])):
        plan = plan_job(some, seconds=600, steps=12, after=2).plan
        assert not check(some, plan)
        assert {b.board for b in plan.boards} | set(reasons_of(plan)) == {b.name for b in some.boards}
        assert all(u.why and "\n" not in u.why for u in plan.unplaced)
        assert all("\n" not in line for line in [*reasons_of(plan).values(), *why_lines(plan)])
        assert plan.section(Tightest) is not None


def test_a_board_in_pieces_is_named_once_for_a_trouble_that_all_have() -> None:
    j = job([part(qty=1, width=8, length=15)], [board()])
    whole = whole_board(j.boards[0], j)
    pieces = (replace(whole, x1=F(25)), replace(whole, x0=F(30)))
    (unplaced,) = plan_job(j, seconds=600, steps=10, stocks=pieces).plan.unplaced
    assert unplaced.why == 'too narrow for 8 1/4": B has 7"'


def test_reasons_name_no_board_that_is_not_there_and_no_length_below_nothing() -> None:
    """A board shorter than its end trims, and one that warp takes more than its thickness from."""
    from yieldopt.insight.explaining import layers_from

    rail = part()
    stub, bent = board(length=3), board(length=30, bow=F(9))
    for wood in (stub, bent):
        j = job([rail], [wood])
        _, why = layers_from(rail, wood, j)
        assert why.detail == "nothing"
        assert "-" not in why.detail


def test_a_conflict_without_a_board_says_so() -> None:
    from yieldopt.planning.pricing.context import prepare
    from yieldopt.planning.reasons.crowded import Crowd
    from yieldopt.planning.reasons.missing import too_many
    from yieldopt.planning.solve import FULL, QUICK
    from yieldopt.workers.serial import Serial

    c = prepare(job([part()], [board()]), Serial(), FULL, QUICK)
    assert too_many(c, Crowd(((0, 1.0),), ())) == "no board here gives 1 x rail, whatever else it gives (proven)"


def test_spare_wood_too_little_to_print_is_said_in_words() -> None:
    from yieldopt.records.why import spare_words

    assert [spare_words(x, "in") for x in (F(0), F(1, 5000), F(1, 4))] == ["nothing", "less than can be measured", '1/4"']
    assert spare_words(F(1, 5000), "mm") == "less than can be measured"
