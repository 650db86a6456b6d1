"""The phone's necessary tests against plans: what a plan places on some boards, they never call missing from these boards."""

from __future__ import annotations

import os
from collections import Counter
from dataclasses import replace
from typing import Any

import pytest

pytest.importorskip("selenium")

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from phone import BROWSER, Phone
from strategies import jobs

from yieldopt.demo import MAIN_JOB, inventory
from yieldopt.lumber import Job
from yieldopt.planning import plan_job
from yieldopt.planning.names import whole_of
from yieldopt.rack.facade import new_id
from yieldopt.rack.record import RackBoard
from yieldopt.reading.job import read_job
from yieldopt.web.exchange import as_json
from yieldopt.web.jobs import needs_of

pytestmark = BROWSER
LONG = os.environ.get("YIELDOPT_TESTS") == "long"
SCRIPT = "const done = arguments[2]; import('/static/needs.js').then(m => done(m.missing(arguments[0], arguments[1])))"


def said(phone: Phone, job: Job) -> list[str]:
    boards = [as_json(RackBoard(new_id(), b)) for b in job.boards]
    answer: list[str] = phone.driver.execute_async_script(SCRIPT, needs_of(job), boards)
    return answer


def just_enough(job: Job, seconds: float) -> Job:
    """The job cut down to what a plan places, on the boards that it uses: nothing to spare, as far as a plan can tell."""
    plan = plan_job(job, seconds=seconds).plan
    # The staves of a glued-up part are one piece of it.
    placed = Counter(part for part, _ in {(p.part, whole_of(p.piece)) for _, p in plan.pieces()})
    used = {b.board for b in plan.boards}
    return replace(
        job,
        boards=tuple(b for b in job.boards if b.name in used),
        parts=tuple(replace(p, qty=placed[p.name]) for p in job.parts if placed[p.name]),
        pins=(),
        leave=frozenset(),
    )


@given(job=jobs())
@example(job=read_job(inventory() / "tool-rack"))
@settings(
    max_examples=300 if LONG else 15, deadline=None, suppress_health_check=list(HealthCheck), derandomize=not LONG
)  # fmt: skip
def test_what_a_plan_places_is_never_called_missing(opened: Phone, job: Job) -> None:
    assert said(opened, just_enough(job, 0.4)) == []


@given(data=st.data())
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
def test_each_test_does_find_something(opened: Phone, data: Any) -> None:
    """A test that never fails would pass the one above: no boards, too short, too narrow, too thin, too little are each told."""
    whole = read_job(inventory() / MAIN_JOB)
    part = data.draw(st.sampled_from([p for p in whole.parts if p.grain == "length" and not p.staves and not p.sources]))
    job = replace(whole, parts=(replace(part, match=None, match_kind=None),), pins=(), leave=frozenset())
    board = next(b for b in whole.boards if b.species == part.species)
    board = replace(board, edges=(), length=part.length * 4, width=part.width * 3, thickness=part.thickness + 1)
    cases = {
        "no ": [],
        "thick enough": [replace(board, thickness=part.thickness)],
        "nothing long enough": [replace(board, length=part.length)],
        "is wide enough": [replace(board, width=part.width)],
    }
    assert said(opened, replace(job, parts=(replace(job.parts[0], qty=1),), boards=(board,))) == []
    for words, boards in cases.items():
        assert any(words in line for line in said(opened, replace(job, boards=tuple(boards)))), words
    many = replace(job, parts=(replace(job.parts[0], qty=500),), boards=(board,))
    assert any("square feet wanted" in line for line in said(opened, many))
