"""Every rule is broken on purpose, in exactly one way, and the check must name it."""

from __future__ import annotations

import json
import re
from pathlib import Path
from random import Random

import pytest
from catching import caught
from corruptions import CORRUPTIONS, Corruption
from hypothesis import given
from hypothesis import strategies as st
from layouts import layout
from strategies import jobs
from workshop import JOB, plan_of

from yieldopt.checking import CODES, check
from yieldopt.checking.context import RULES
from yieldopt.records.planfile import dumps, loads
from yieldopt.wood.lumber import Job

SEEDS = range(20)


def test_every_code_can_be_broken() -> None:
    assert {c.code for c in CORRUPTIONS} == set(CODES)


def test_every_code_has_a_rule() -> None:
    # 115 is looked after before the rules: they may only meet words that the format knows.
    assert {code for codes, _ in RULES for code in codes} | {115} == set(CODES)


def test_every_code_is_explained() -> None:
    page = (Path(__file__).parents[2] / "docs" / "reference" / "checks.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| (\d{3}) \| (.+?) \|", page, re.M))
    assert rows == {str(code): title for code, title in CODES.items()}


def test_the_plans_to_be_broken_are_good() -> None:
    for seed in SEEDS:
        assert check(JOB, plan_of(seed)) == ()


@pytest.mark.parametrize("corruption", CORRUPTIONS, ids=lambda c: c.name)
def test_one_breach_is_one_code(corruption: Corruption) -> None:
    tried = []
    for seed in SEEDS:
        result = caught(corruption, JOB, plan_of(seed))
        if result is not None:
            tried.append(result)
        if len(tried) == 2:
            break
    assert tried, "no plan has anything to be broken so"
    assert all(tried)


@given(jobs(), st.integers(0, 9), st.randoms(use_true_random=False))
def test_any_layout_passes_and_any_corruption_of_it_is_caught(job: Job, seed: int, random: Random) -> None:
    plan = layout(job, seed)
    assert check(job, plan) == ()
    if not plan.boards:
        return
    # All of them would take minutes; the long profile gets round to all.
    for corruption in random.sample(CORRUPTIONS, 15):
        assert caught(corruption, job, plan) in (True, None), corruption.name


@given(jobs(), st.integers(0, 9))
def test_a_plan_passes_from_its_file_as_from_memory(job: Job, seed: int) -> None:
    """JSON numbers are rounded; what they move is within the check's tolerance."""
    assert check(job, loads(dumps(layout(job, seed)))) == ()


@given(jobs(pins=False), st.data())
def test_any_value_anywhere_is_no_crash(job: Job, data: st.DataObject) -> None:
    body = json.loads(dumps(layout(job)))
    places: list[tuple[object, object]] = []

    def walk(node: object) -> None:
        for key, value in node.items() if isinstance(node, dict) else enumerate(node):  # type: ignore[var-annotated,arg-type]
            if isinstance(value, dict | list):
                walk(value)
            places.append((node, key))

    walk(body)
    node, key = data.draw(st.sampled_from(places))
    node[key] = data.draw(st.sampled_from([None, "", "x", 0, -1, 1e300, 10**30, True, [], {}, ["x"], 2.5]))  # type: ignore[index]
    from yieldopt.ground.errors import UsageError

    try:
        plan = loads(json.dumps(body))
    except UsageError:
        return
    for finding in check(job, plan):
        assert finding.code in CODES
        assert str(finding)
