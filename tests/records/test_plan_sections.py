"""The sections of plan.json: files of earlier versions come back byte for byte, and what is damaged is named with its place."""

from __future__ import annotations

import json
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import pytest
from damage import damaged

from yieldopt.cli import main
from yieldopt.ground.errors import UsageError
from yieldopt.records import sections
from yieldopt.records.planfile import dumps, from_json, loads, to_json
from yieldopt.records.sections import Entry, Foreign, Holds, Revisions, SecondChoices, Thin
from yieldopt.wood.plan import Section

PLANS = Path(__file__).parent / "plans"
WHOLE = (PLANS / "whole.json").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", sorted(PLANS.glob("*.json")), ids=lambda p: p.stem)
def test_a_file_of_before_the_sections_had_types_is_written_as_it_was(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert dumps(loads(text)) == text


def test_the_file_holds_every_kind_of_section_once() -> None:
    kinds = {k for k in vars(sections).values() if isinstance(k, type) and issubclass(k, Section) and k is not Section}
    assert {type(s) for s in loads(WHOLE).sections} == kinds


def test_lengths_of_sections_are_exact() -> None:
    said = loads((PLANS / "millimetres.json").read_text(encoding="utf-8")).section(Thin)
    assert said is not None
    assert (said.value[0].x, said.value[0].thickness) == (F(2), F(7, 8))


def test_a_plan_without_newer_keys_is_read() -> None:
    body = json.loads(WHOLE)
    for key in ("settled", "named"):
        del body["one_more"][0][key]
    for key in ("length", "width", "wood", "together", "cost"):
        del body["second_choices"][0][key]
    body["revisions"] = [{"revision": 1}]
    plan = from_json(body)
    assert plan.section(Revisions) == Revisions((Entry(1),))
    assert to_json(plan)["one_more"] == json.loads(WHOLE)["one_more"]


def test_a_section_takes_the_place_of_the_one_before() -> None:
    plan = loads(WHOLE)
    keys = [s.key for s in plan.sections]
    assert [s.key for s in plan.saying(Holds(())).sections] == keys
    assert [s.key for s in plan.saying(Foreign("more", 1)).sections] == [*keys, "more"]
    rest = plan.silent_on(SecondChoices, Holds)
    assert [s.key for s in rest.sections] == [k for k in keys if k not in ("second_choices", "holds")]


@pytest.mark.parametrize(
    ("place", "value", "told"),
    [
        ("history", "odd", "history: found 'odd', expected a list"),
        ("history/1/0", "soon", "history[1][0]: found 'soon', expected a number"),
        ("reasons", [], "reasons: found [], expected an object"),
        ("second_choices/0/x", None, "second_choices[0].x: found None, expected a length as a number"),
        ("thin/0/thickness", "7/8", "thin[0].thickness: found '7/8', expected a length as a number"),
        ("sawn/0/kind", "hew", "sawn[0].kind: found 'hew', expected 'crosscut', 'rip' or 'resaw'"),
        ("robust/reserve/boards/0/count", "some", "robust.reserve.boards[0].count: found 'some', expected a whole number"),
        ("boards/0/pieces/0/x", "2", "boards[0].pieces[0].x: found '2', expected a length as a number"),
        ("boards/0/cuts/0/state", "half", "boards[0].cuts[0].state: found 'half', expected 'planned' or 'done'"),
        ("boards/0/cost", "dear", "boards[0].cost: found 'dear', expected an amount of money"),
        ("totals/net_cost", None, "totals.net_cost: found None, expected a number"),
    ],
)
def test_what_is_damaged_is_named_with_its_place(place: str, value: Any, told: str, tmp_path: Path, capsys: Any) -> None:
    body = damaged(WHOLE, place, value)
    with pytest.raises(UsageError) as error:
        from_json(body)
    assert str(error.value).startswith(f"the plan can't be read: {told}")
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(body), encoding="utf-8")
    assert main(["check", str(path)]) == 2
    assert capsys.readouterr().err.startswith(f"yieldopt: {path}: the plan can't be read: {told}")


def test_a_missing_key_is_named() -> None:
    body = json.loads(WHOLE)
    del body["boards"][0]["pieces"]
    with pytest.raises(UsageError, match=r"boards\[0\]: found .*, expected pieces"):
        from_json(body)
    body = json.loads(WHOLE)
    del body["boards"][0]["cuts"][0]["from"]
    with pytest.raises(UsageError, match=r"boards\[0\]\.cuts\[0\]\.from: found nothing, expected a value"):
        from_json(body)
