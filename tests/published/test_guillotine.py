"""The guillotine engine on academic instances with published optima; each file names its source and each value its citation.

The five instances with defects have no published values: theirs were computed by an independent exact program that matched
enumeration on small cases. All other values are published.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.bench.published import DEFECTS, KNAPSACK, problem
from tests.planning.guillotine.oracle import check
from yieldopt.planning.guillotine import solve

FOLDER = Path(__file__).parent / "data" / "guillotine"
INSTANCES = {path.stem: json.loads(path.read_text()) for path in sorted(FOLDER.glob("*.json"))}
CASES = [(name, variant) for name, data in INSTANCES.items() for variant in (*KNAPSACK, *DEFECTS) if variant in data["known"]]


@pytest.mark.parametrize(("name", "variant"), CASES)
def test_the_published_optimum_is_reached_and_proven(name: str, variant: str) -> None:
    sheet, items = problem(INSTANCES[name], variant)
    answer = solve(sheet, items)
    check(sheet, items, answer)
    assert answer.value == INSTANCES[name]["known"][variant]["value"]
    assert answer.proven
