"""Planning round wishes: a piece goes where it is wished for, a board is left, and what can stay stays."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cache

from yieldopt.checking import check
from yieldopt.demo import inventory
from yieldopt.planning import plan_job
from yieldopt.reading import read_job
from yieldopt.replanning.again import Replanned, replan
from yieldopt.replanning.compare import marks_kept
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Job, Pin
from yieldopt.wood.plan import Plan
from yieldopt.workers.serial import Serial


@cache
def planned() -> tuple[Job, Plan]:
    job = read_job(inventory() / "tool-rack")
    return job, plan_job(job, seconds=600, steps=12, executor=Serial()).plan


def places(plan: Plan) -> dict[str, tuple[str, Fraction, Fraction, int]]:
    return {p.piece: (b.board, p.x, p.y, p.layer) for b, p in plan.pieces()}


def round_about(job: Job) -> Replanned:
    _, plan = planned()
    found = replan(job, plan, Surprise(), steps=3)
    assert not check(found.job, found.plan, plan)
    assert not found.plan.unplaced
    return found


def test_a_wish_that_the_plan_keeps_changes_nothing() -> None:
    job, plan = planned()
    piece = next(p for _, p in plan.pieces())
    board, x, y, layer = places(plan)[piece.piece]
    assert round_about(replace(job, pins=(Pin(piece.piece, board, x, y, layer),))).plan == plan


def test_what_lies_in_the_way_of_a_wish_makes_way_and_the_rest_stays() -> None:
    """One piece is wished for where another of the same size lies on another board."""
    job, plan = planned()
    at = places(plan)
    sizes = {p.piece: (p.length, p.width, p.thickness, p.layers) for _, p in plan.pieces()}
    a, b = next(
        (a, b)
        for a in at
        for b in at
        if sizes[a] == sizes[b] and at[a][0] != at[b][0] and a.partition("#")[0] == b.partition("#")[0]
    )
    board, x, y, _ = at[b]
    found = round_about(replace(job, pins=(Pin(a, board, x, y),)))
    assert places(found.plan)[a][:3] == (board, x, y)
    assert f"asked for on {board}" in dict(found.lost)[a]
    assert any(f"in the way of {a}" in why for _, why in found.lost)
    stay, of = marks_kept(plan, found.changes)
    assert stay >= of / 2


def test_a_board_that_is_to_be_left_is_left() -> None:
    job, plan = planned()
    board = plan.boards[0].board
    found = round_about(replace(job, leave=frozenset({board})))
    assert board not in {b.board for b in found.plan.boards}
    told = {why for name, why in found.lost if places(plan)[name][0] == board}
    assert told == {f"{board} is to be left"}
