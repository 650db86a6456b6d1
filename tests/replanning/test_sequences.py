"""Random sequences of cuts, surprises and re-plans on generated jobs, each step held against a model of the true wood."""

from __future__ import annotations

import os
from dataclasses import fields
from fractions import Fraction
from random import Random

import pytest
from happenings import a_surprise, some_lines, told_or_not
from hypothesis import given, settings
from hypothesis import strategies as st
from shop_floor import HAIR, ShopFloor
from strategies import jobs

from yieldopt.checking import check
from yieldopt.ground.names import whole_of
from yieldopt.insight.leftovers import regions, wood_account
from yieldopt.planning import plan_job
from yieldopt.records.planfile import dumps, loads
from yieldopt.records.sections import Sawn
from yieldopt.replanning.again import NO_END, Replanned, replan
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan
from yieldopt.workers.serial import Serial

LONG = os.environ.get("YIELDOPT_TESTS") == "long"


def follow(job: Job, rng: Random, surprises: int, steps: int) -> None:
    """`steps` of the search a plan and a way on: no clock decides which sequence is tried."""
    plan = loads(dumps(plan_job(job, seconds=NO_END, seed=1, steps=steps, executor=Serial()).plan))
    floor = ShopFloor(job)
    for _ in range(surprises):
        surprise = told_or_not(job, plan, some_lines(rng, job, plan), a_surprise(rng, job, plan))
        before = {p.piece: (b.board, p) for b, p in plan.pieces()}
        result = replan(job, plan, surprise, steps=steps, mark_price=rng.choice((0.0, 0.5, 100.0)))
        job, new = result.job, loads(dumps(result.plan))
        assert [str(f) for f in check(job, new)] == []
        for name in surprise.done - surprise.spoiled:
            floor.finished[name] = before[name]
        for name in surprise.spoiled:
            floor.finished.pop(name, None)
        renamed = dict(result.renamed)
        floor.finished = {renamed.get(n, n): where for n, where in floor.finished.items()}
        for name, _ in result.set_aside:
            floor.finished.pop(name, None)
        floor.job = job
        floor.look(new)
        assert floor.holds(new) == []
        conserved(job, new)
        assert unsawn(plan, new) == []
        pieces = {p.piece: (b.board, p) for b, p in new.pieces()}
        assert sorted(pieces) == sorted(p.piece for _, p in new.pieces()), "a piece is asked for twice"
        for name, (board, p) in floor.finished.items():
            there, q = pieces[name]
            assert (there, q.x, q.y, q.layer, q.state) == (board, p.x, p.y, p.layer, "done")
        hit = {n for n, _ in result.hit_done}
        assert hit <= {n for n, (_, p) in pieces.items() if p.state == "done"}
        if surprise.parts is None:
            set_aside_for_a_reason(job, result, before)
        unchanged(job, new, steps)
        plan = new


def unsawn(before: Plan, after: Plan) -> list[str]:
    """Cuts made by the plan before that the plan after has lost: it keeps them, or where they lie in a resawn blank that is
    spent, its record does."""
    made = {(b.board, c.order, c.kind, c.at) for b in after.boards for c in b.cuts if c.state == "done"}
    said = after.section(Sawn)
    record = {(c.board, c.order, c.kind, c.at) for c in (said.value if said else ())}
    left = {(b.board, k.blank) for b in after.boards for k in b.blanks}
    lost = []
    for b in before.boards:
        layers = {k.blank: k.layers for k in b.blanks}
        for c in b.cuts:
            key = (b.board, c.order, c.kind, c.at)
            in_record = key in record
            spent = layers.get(c.blank or "", 1) > 1 and (b.board, c.blank) not in left
            if c.state == "done" and key not in made and not (spent and in_record):
                lost.append(f"{b.board}: {c}")
    return lost


def set_aside_for_a_reason(job: Job, result: Replanned, before: dict) -> None:  # type: ignore[type-arg]
    """Only members of sets and staves are ever set aside, unless the designer changed the parts."""
    for name, _ in result.set_aside:
        _, p = before[name]
        assert job.part_named[p.part].match is not None or p.stave is not None, whole_of(name)


def conserved(job: Job, plan: Plan) -> None:
    """Parts, shavings, kept offcuts, kerfs, trims, defects and waste of each board make up the board, none below nothing."""
    for entry in plan.boards:
        board = job.board_named[entry.board]
        account = wood_account(board, entry, job, regions(board, entry, job))
        figures = [v for f in fields(account) if isinstance(v := getattr(account, f.name), Fraction)]
        assert all(v >= -HAIR for v in figures), account
        assert abs(sum(figures) - board.area * board.nominal) < HAIR


def unchanged(job: Job, plan: Plan, steps: int) -> None:
    """Without a surprise the plan stays as it is, revision and all."""
    again = replan(job, plan, Surprise(), steps=steps)
    assert again.plan == plan
    assert not again.changes


@settings(max_examples=12)
@given(jobs(most_boards=4, most_rows=4), st.integers(0, 2**32))
def test_sequences(job: Job, seed: int) -> None:
    follow(job, Random(seed), 3, 3)


@pytest.mark.long
@settings(max_examples=300 if LONG else 60, derandomize=False)
@given(jobs(most_boards=6, most_rows=6), st.integers(0, 2**32))
def test_long_sequences(job: Job, seed: int) -> None:
    follow(job, Random(seed), 5, 6)
