"""The guillotine engine against values that an independent exact program computed; no paper prints them.

The sheets and items are published (each file names where). The values come from a dynamic programme, for sheets with defects
with branch and bound, that shares no code with the engine and matched enumeration on small cases.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.bench.published import DEFECTS, KNAPSACK, problem
from tests.planning.guillotine.oracle import check
from yieldopt.planning.guillotine import solve

FOLDER = Path(__file__).parents[2] / "published" / "data" / "guillotine"
INSTANCES = {path.stem: json.loads(path.read_text()) for path in sorted(FOLDER.glob("*.json"))}
COMPUTED = [
    (name, variant)
    for name, data in INSTANCES.items()
    for variant in (*KNAPSACK, *DEFECTS)
    if variant in data["known"] and "not a published figure" in data["known"][variant]["citation"]
]


@pytest.mark.parametrize(("name", "variant"), COMPUTED)
def test_the_independently_computed_optimum_is_reached_and_proven(name: str, variant: str) -> None:
    sheet, items = problem(INSTANCES[name], variant)
    answer = solve(sheet, items)
    check(sheet, items, answer)
    assert answer.value == INSTANCES[name]["known"][variant]["value"]
    assert answer.proven


def test_all_twelve_are_here() -> None:
    assert len(COMPUTED) == 12
