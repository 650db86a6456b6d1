"""`--seconds` is the whole command's promise: what follows the search keeps to it, and what it did not reach is said.

Clocks are faked: each look at one takes so long, so that what is held to is how often work stops to look.
"""

from __future__ import annotations

from fractions import Fraction as F
from pathlib import Path

import pytest

from yieldopt.cli import main
from yieldopt.ground.deadline import Deadline
from yieldopt.insight.second_choice import with_second_choices
from yieldopt.planned.running import ENDING, Searching
from yieldopt.planning import plan_job
from yieldopt.planning.pricing.context import prepare
from yieldopt.planning.pricing.sections import SectionPricer
from yieldopt.planning.reasons.onemore import one_more
from yieldopt.planning.reasons.report import reported
from yieldopt.planning.solve import FULL, QUICK
from yieldopt.planning.tuning import USUAL, Trying, Tuning
from yieldopt.records.sections import NotReached
from yieldopt.records.why import BOARDS, MORE, SECOND
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.workers.serial import Serial


class Clock:
    """Goes on by so many seconds at each look."""

    def __init__(self, step: float) -> None:
        self.now, self.step = 0.0, step

    def __call__(self) -> float:
        self.now += self.step
        return self.now


def short_job(kinds: int = 1) -> Job:
    """Parts that the one board has no room for, some of them."""
    parts = tuple(Part(f"p{k}", 6, "oak", F(3, 4), F(3) + F(k, 16), F(20 + k)) for k in range(kinds))
    boards = tuple(Board(n, "oak", "4/4", F(1), F(60), F(7), F(1), cost=F(20)) for n in "AB")
    return Job("short", "in", parts, (*boards, Board("C", "oak", "4/4", F(1), F(12), F(4), F(1), cost=F(5))))


def test_one_more_board_looks_at_the_clock_before_each_try(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whole searches for a length used to go by between two looks."""
    tries = []
    price = SectionPricer.price
    monkeypatch.setattr(SectionPricer, "price", lambda *given, **named: tries.append(1) or price(*given, **named))
    found = one_more(short_job(), {"p0": 3}, Deadline(1.0, Clock(0.25)))
    assert len(tries) <= 4
    assert not found[0].settled


def test_one_more_board_tries_no_board_that_takes_minutes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nineteen kinds of small parts, ganged in all ways: a try took half a minute."""
    monkeypatch.setattr(SectionPricer, "price", lambda *_a: pytest.fail("a board beyond the work for one try was laid out"))
    assert not one_more(short_job(), {"p0": 3}, Deadline(1e6), Tuning(trying=Trying(most_work=1.0)))[0].settled


def test_the_search_leaves_time_for_what_follows() -> None:
    job, clock = short_job(), Clock(0.05)
    deadline = Deadline(10.0, clock)
    last = []
    plan_job(job, deadline=deadline, after=5.0, executor=Serial(), observer=lambda p: last.append(p.left))
    assert last[0] <= 10.0 * (1 - USUAL.ending.after)
    assert deadline.elapsed < 10.0 + 40 * clock.step


def test_the_planner_leaves_time_for_check_and_files() -> None:
    how = Searching(10.0, 0, 0.0, None, deadline=Deadline(10.0, Clock(0.0)))
    assert how.clock().left == pytest.approx(10.0 * (1 - ENDING))


def test_reasons_that_the_time_did_not_reach_are_named() -> None:
    job = short_job()
    c = prepare(job, Serial(), FULL, QUICK)
    _, why = reported(c, [(k, []) for k in c.components()], (), {"p0": 6}, Deadline(0.0))
    assert [{BOARDS, MORE} <= set(s.value) for s in why if isinstance(s, NotReached)] == [True]
    _, why = reported(c, [(k, []) for k in c.components()], (), {"p0": 6}, Deadline(1e6))
    assert not any(isinstance(s, NotReached) for s in why)


def test_second_choices_that_the_time_did_not_reach_are_named() -> None:
    job = Job("whole", "in", (Part("door", 2, "oak", F(3, 4), F(3), F(20)),), short_job().boards)
    plan = plan_job(job, seconds=600, steps=3, executor=Serial()).plan
    assert with_second_choices(job, plan, Deadline(0.0)).section(NotReached) == NotReached((SECOND,))
    assert with_second_choices(job, plan, Deadline(1e6)).section(NotReached) is None


def test_what_was_not_reached_is_printed_and_answered_later(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "job.toml").write_text('name = "x"\nunits = "in"\n')
    (tmp_path / "parts.csv").write_text("part,qty,species,thickness,width,length\nrail,4,walnut,3/4,5,30\n")
    (tmp_path / "boards.csv").write_text("board,species,quarters,length,width,cost\nA,walnut,4/4,60,8,10\nB,walnut,4/4,20,8,10\n")
    out = tmp_path / "out"
    with monkeypatch.context() as m:
        m.setattr("yieldopt.planned.running.AFTER", 1e-9)
        assert main(["plan", str(tmp_path), "--out", str(out), "--seconds", "2", "--quiet", "--threads"]) == 3
    printed = capsys.readouterr().out
    assert "the time did not reach: " in printed
    assert MORE in printed
    assert f"yieldopt why {out / 'plan.json'}" in printed
    before = (out / "plan.json").read_bytes()
    assert main(["why", str(out / "plan.json"), "--seconds", "20"]) == 0
    later = capsys.readouterr().out
    assert "one more board would do for 3 x rail" in later
    assert "not cut: B: takes no part" in later
    assert (out / "plan.json").read_bytes() == before
