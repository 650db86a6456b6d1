"""Whatever a job is like, what is said of it names something and measures something: no empty list, no length below nothing."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from strategies import jobs

from yieldopt.checking import check
from yieldopt.planning import plan_job
from yieldopt.records.why import reasons_of, why_lines
from yieldopt.wood.lumber import Job
from yieldopt.workers.serial import Serial

FAULTS = {
    "a gap where a list should be": re.compile(r"  |,\s*[,;)]|\(\s*\)"),
    "a list of nothing": re.compile(r"\b(?:from|on|of|and|or|than|beside|boards?:)\s*(?:\(|,|;|\.?$)"),
    "a length below nothing": re.compile(r"(?:^|[\s(:~])[-\u2212]\s?\d"),
    "about nothing": re.compile(r"~\s?0(?![\d./ ]*[1-9])"),
}


def faults(text: str) -> list[str]:
    return [what for what, found in FAULTS.items() if found.search(text)]


def said(job: Job) -> list[str]:
    """Every reason of the job's plan, names taken out: they may hold anything."""
    plan = plan_job(job, seconds=600, steps=2, after=5, executor=Serial()).plan
    assert not check(job, plan)
    lines = [*(u.why for u in plan.unplaced), *reasons_of(plan).values(), *why_lines(plan)]
    names = sorted({p.name for p in job.parts} | {b.name for b in job.boards}, key=len, reverse=True)
    return [re.sub("|".join(map(re.escape, names)), "N", line) for line in lines]


@settings(max_examples=8, deadline=None)
@given(jobs(most_boards=4, most_rows=4))
def test_every_reason_names_and_measures_something(job: Job) -> None:
    assert [(line, f) for line in said(job) for f in faults(line)] == []


@pytest.mark.long
@settings(max_examples=200, deadline=None)
@given(jobs())
def test_every_reason_of_many_jobs_names_and_measures_something(job: Job) -> None:
    assert [(line, f) for line in said(job) for f in faults(line)] == []


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("1 x p4 can't all come from  (proven)", "a gap where a list should be"),
        ("2 x rail can't all come from", "a list of nothing"),
        ("too thick: needs 24 mm, N has -5.6 mm", "a length below nothing"),
        ('~0" of thickness to spare', "about nothing"),
    ],
)
def test_the_faults_that_were_found_are_faults(text: str, fault: str) -> None:
    assert fault in faults(text)


@pytest.mark.parametrize("text", ['too narrow for 8-1/4": N has 7"', "~0.5 mm of thickness", '~0 1/64" of width', "N (proven)"])
def test_what_is_right_is_no_fault(text: str) -> None:
    assert not faults(text)
