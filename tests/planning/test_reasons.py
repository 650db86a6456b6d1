"""Every reason why a part has no place, each on the smallest job that has it."""

from __future__ import annotations

import re
from fractions import Fraction as F

import pytest
from test_features import board, job, part

from yieldopt.checking import check
from yieldopt.lumber import Job, Shop
from yieldopt.planning import plan_job

BOOK = {"match": "doors", "match_kind": "book"}
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
    "warp": (job([part(length=40)], [board(bow=F(1))]), "no such board has a blank of its size left"),
    "trim": (job([part(length=57)], [board()]), "no such board has a blank of its size left"),
    "no room": (job([part(qty=3, length=40)], [board(width=5)]), "no room beside the parts placed"),
    "no room for a group": (
        job([part(qty=3, length=40, match="frame", match_kind="board")], [board(width=5), board("C", width=5)]),
        "no room for the whole group frame",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_reason(name: str) -> None:
    j, why = CASES[name]
    plan = plan_job(j, seconds=0.4).plan
    assert not check(j, plan)
    (unplaced,) = plan.unplaced
    assert re.search(why, unplaced.why), unplaced.why


def test_part_without_enough_wood_keeps_its_count() -> None:
    """Two strips of 2-1/4 go into 5 in, not three."""
    plan = plan_job(CASES["no room"][0], seconds=0.4).plan
    assert [(u.part, u.qty) for u in plan.unplaced] == [("rail", 1)]


def test_reasons_use_the_units_of_the_job() -> None:
    j = Job("mm", "mm", (part(length=60),), (board(),), Shop())
    assert "1549.4" in plan_job(j, seconds=0.4).plan.unplaced[0].why
