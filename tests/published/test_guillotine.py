"""The guillotine engine on academic instances with published optima; each file names its source and each value its citation.

Values that no paper prints, computed here or elsewhere by an independent program, are in
`tests/planning/guillotine/test_recomputed.py`.
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
PUBLISHED = [
    (name, variant)
    for name, data in INSTANCES.items()
    for variant in (*KNAPSACK, *DEFECTS)
    if variant in data["known"] and "not a published figure" not in data["known"][variant]["citation"]
]


def test_every_value_here_names_where_it_was_published() -> None:
    assert len(PUBLISHED) >= 25
    for name, variant in PUBLISHED:
        # A year, or a reason that settles it without one.
        assert any(c.isdigit() for c in INSTANCES[name]["known"][variant]["citation"]), (name, variant)


@pytest.mark.parametrize(("name", "variant"), PUBLISHED)
def test_the_published_optimum_is_reached_and_proven(name: str, variant: str) -> None:
    sheet, items = problem(INSTANCES[name], variant)
    answer = solve(sheet, items)
    check(sheet, items, answer)
    assert answer.value == INSTANCES[name]["known"][variant]["value"]
    assert answer.proven
