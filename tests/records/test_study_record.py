"""source.json: a file of earlier versions comes back byte for byte, and what is damaged is named with its place."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from damage import damaged

from yieldopt.ground.errors import UsageError
from yieldopt.records.studyfile import dumps, from_json, loads, to_json

TEXT = (Path(__file__).parent / "studies" / "small.json").read_text(encoding="utf-8")


def test_a_file_of_before_the_record_had_types_is_written_as_it_was() -> None:
    assert dumps(loads(TEXT)) == TEXT


def test_of_the_rack_alone_there_are_four_figures() -> None:
    rack = {"name": "from the rack", "net_cost": 12.5, "board_feet_bought": 0.0, "by": "plans"}
    assert to_json(from_json({**json.loads(TEXT), "ways": [rack]}))["ways"] == [rack]


@pytest.mark.parametrize(
    ("place", "value", "told"),
    [
        ("ways/0/net_cost", "dear", "ways[0].net_cost: found 'dear', expected a number"),
        ("purchase/lines/0/parts/0/pieces", None, "purchase.lines[0].parts[0].pieces: found None, expected a whole number"),
        ("purchase/curve/1", [3], "purchase.curve[1][1]: found nothing, expected a value"),
        ("break_even/by", "guess", "break_even.by: found 'guess', expected 'plans' or 'estimate'"),
        ("grades", None, "grades: found None, expected a list"),
    ],
)
def test_what_is_damaged_is_named_with_its_place(place: str, value: Any, told: str) -> None:
    body = damaged(TEXT, place, value)
    with pytest.raises(UsageError) as error:
        from_json(body)
    assert str(error.value) == f"the study can't be read: {told}"
