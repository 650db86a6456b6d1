"""What one more board would have to be like: with it every part has its place, with one an eighth of an inch less none has."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from small_jobs import board, job, part

from yieldopt.checking import check
from yieldopt.ground.deadline import Deadline
from yieldopt.planning import plan_job
from yieldopt.planning.reasons.onemore import OneMore, one_more
from yieldopt.records.why import one_more_lines
from yieldopt.wood.lumber import Board, Job

BOOK = {"match": "doors", "match_kind": "book", "thickness": F(5, 8)}
MISSING = {
    "one rail": [part(qty=1)],
    "a few rails": [part(qty=3, length=40)],
    "two parts": [part(qty=2, length=40), part("stile", 1, 3, 26)],
    "short ones": [part("pull", 4, F(5, 4), 5)],
    "a pair": [part("left", 1, 4, **BOOK), part("right", 1, 4, **BOOK)],
    "a group": [part(qty=2, match="frame", match_kind="board"), part("stile", 2, 3, 30, match="frame", match_kind="board")],
    "a glue-up": [part("shelf", 1, 12, 24, staves=(F(2), F(5)))],
    "quarter sawn": [part(sawn="quarter")],
}


def bought(m: OneMore, length: F, width: F) -> Board:
    sawn = "" if m.sawn == "any" else m.sawn
    return Board("new", m.species, m.quarters, m.thickness, length, width, m.thickness, sawn=sawn, cost=F(1))  # type: ignore[arg-type]


def whole(j: Job) -> bool:
    plan = plan_job(j, seconds=600, steps=12).plan
    assert not check(j, plan)
    return plan.complete


@pytest.mark.parametrize("name", MISSING)
def test_it_does_and_a_smaller_one_does_not(name: str) -> None:
    j = job(MISSING[name], [board(species="ash")])
    (m,) = one_more(j, {p.name: p.qty for p in j.parts}, Deadline(60))
    assert m.sizes
    for length, width in m.sizes:
        assert whole(replace(j, boards=(bought(m, length, width),)))
    length, width = m.sizes[0]
    assert not whole(replace(j, boards=(bought(m, length - F(1, 8), width),)))


def test_by_hand() -> None:
    """20 x 2 finished is 21 x 2 1/4 rough, and 2 in of trim at either end; 3/4 needs 15/16."""
    (m,) = one_more(job([part()], [board(species="ash")]), {"rail": 1}, Deadline(60))
    assert m == OneMore(
        "oak", "4/4", F(15, 16), "any", (("rail", 1),), ((F(25), F(9, 4)),), (F(25), F(9, 4)), F(21) * F(9, 4), False
    )


def test_one_for_each_species_and_thickness() -> None:
    j = job([part(), part("leg", thickness=F(7, 4)), part("ply", species="ash")], [board(species="elm")])
    found = one_more(j, {"rail": 1, "leg": 1, "ply": 1}, Deadline(60))
    assert [(m.species, m.quarters, dict(m.parts)) for m in found] == [
        ("ash", "4/4", {"ply": 1}), ("oak", "4/4", {"rail": 1}), ("oak", "8/4", {"leg": 1}),
    ]  # fmt: skip


def test_where_one_board_can_not_do_it_the_wood_is_told() -> None:
    j = job([part(qty=40, width=5, length=50)], [board(species="ash")])
    plan = plan_job(j, seconds=600, steps=6, after=10).plan
    assert one_more_lines(plan) == [
        'more than one board is needed for 40 x rail: oak of 4/4 (15/16" once warp is off), clear, 74.4 square feet of parts in '
        'the rough, none under 55" x 5 1/4" for the largest'
    ]


def test_what_no_machine_takes_is_not_sent_shopping() -> None:
    assert one_more(job([part(width=13)], [board(width=20)]), {"rail": 1}, Deadline(60)) == ()
