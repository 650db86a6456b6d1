"""Boards from phones to the rack: whatever the network does, nothing is lost, doubled or overwritten unseen."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from yieldopt.rack.door.facade import Rack
from yieldopt.web.app import Setup, make_app

Page = Callable[..., TestClient]
Change = Callable[..., dict[str, Any]]


def new() -> str:
    return str(uuid.uuid4())


def names(rack: Rack) -> list[str]:
    return sorted(r.name for r in rack.boards())


def test_a_board_arrives_exactly_as_typed(rack: Rack, page: Page, change: Change) -> None:
    body = change(length="8' 2-1/2\"", width="187mm", price_bf="14.50", thickness="1 1/16", bow_hollow="B", crook_hollow="far")
    body["defects"] = [{"kind": "knot", "face": "A", "x": "3 1/16", "y": "1", "length": "1", "width": "1/2"}]
    answer = page().put(f"/api/boards/{new()}", json=body)
    assert answer.status_code == 200
    board = rack.board("W1").board
    assert (board.length, board.width, board.thickness) == (Fraction(197, 2), Fraction(1870, 254), Fraction(17, 16))
    assert board.defects[0].x == Fraction(49, 16)
    assert (board.bow_hollow, board.cup_hollow, board.crook_hollow) == ("B", "", "far")


def test_a_repeat_stores_nothing_and_answers_alike(rack: Rack, page: Page, change: Change) -> None:
    client, i, body = page(), new(), change()
    answers = [client.put(f"/api/boards/{i}", json=body).json() for _ in range(3)]
    assert answers[0] == answers[1] == answers[2]
    assert len(rack.history()) == 1


def test_a_repeat_after_somebody_elses_correction_does_not_pass_for_it(rack: Rack, page: Page, change: Change) -> None:
    client, i = page(), new()
    first = client.put(f"/api/boards/{i}", json=change()).json()["version"]
    mine = change(base=first, width="7")
    second = client.put(f"/api/boards/{i}", json=mine).json()["version"]
    client.put(f"/api/boards/{i}", json=change(base=second, width="6"))
    repeat = client.put(f"/api/boards/{i}", json=mine)
    assert repeat.json()["version"] == second
    assert rack.board(i).board.width == 6
    later = client.put(f"/api/boards/{i}", json=change(base=second, width="5"))
    assert later.status_code == 409


def test_two_corrections_of_one_version_show_both(rack: Rack, page: Page, change: Change) -> None:
    client, i = page(), new()
    base = client.put(f"/api/boards/{i}", json=change()).json()["version"]
    assert client.put(f"/api/boards/{i}", json=change(base=base, width="7")).status_code == 200
    answer = client.put(f"/api/boards/{i}", json=change(base=base, width="6"))
    assert (answer.status_code, answer.json()["conflict"], answer.json()["theirs"]["cells"]["width"]) == (409, "changed", "7")
    assert rack.board(i).board.width == 7
    again = change(base=answer.json()["theirs"]["version"], width="6")
    assert client.put(f"/api/boards/{i}", json=again).status_code == 200


def test_the_same_correction_from_two_phones_is_no_conflict(page: Page, change: Change) -> None:
    client, i = page(), new()
    base = client.put(f"/api/boards/{i}", json=change()).json()["version"]
    assert [client.put(f"/api/boards/{i}", json=change(base=base, width="7")).status_code for _ in range(2)] == [200, 200]


def test_one_name_from_two_phones_asks(rack: Rack, page: Page, change: Change) -> None:
    client = page()
    assert client.put(f"/api/boards/{new()}", json=change("W1")).status_code == 200
    answer = client.put(f"/api/boards/{new()}", json=change("W1", width="6"))
    assert (answer.status_code, answer.json()["conflict"]) == (409, "name")
    assert names(rack) == ["W1"]


def test_a_key_used_for_something_else_is_refused(rack: Rack, page: Page, change: Change) -> None:
    client, i, body = page(), new(), change()
    client.put(f"/api/boards/{i}", json=body)
    assert client.put(f"/api/boards/{i}", json={**body, "cells": {**body["cells"], "width": "9"}}).status_code == 409
    assert rack.board(i).board.width == Fraction(59, 8)


def test_every_mistake_is_named_and_nothing_stored(rack: Rack, page: Page, change: Change) -> None:
    answer = page().put(f"/api/boards/{new()}", json=change(width="wide", quarters="x", bow="-1"))
    assert answer.status_code == 422
    assert {p["column"] for p in answer.json()["problems"]} == {"width", "quarters", "bow"}
    assert names(rack) == []


def test_two_phones_at_once_get_one_yes(rack: Rack, page: Page, change: Change) -> None:
    client, i = page(), new()
    base = client.put(f"/api/boards/{i}", json=change()).json()["version"]
    widths = ["7", "6", "5", "4"]
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(lambda w: client.put(f"/api/boards/{i}", json=change(base=base, width=w)).status_code, widths))
    assert sorted(found) == [200, 409, 409, 409]


@settings(max_examples=12)
@given(order=st.lists(st.integers(0, 5), min_size=1, max_size=14), lost=st.sets(st.integers(0, 13)))
def test_any_order_of_repeats_and_lost_answers_stores_each_board_once(
    tmp_path_factory: pytest.TempPathFactory, order: list[int], lost: set[int]
) -> None:
    """Two phones, three boards each, sent again and again: a dictionary says what must be there."""
    with Rack.open(tmp_path_factory.mktemp("sync") / "r.rack", create=True) as rack:
        client = TestClient(make_app(Setup(rack)), base_url="http://localhost", headers={"x-yieldopt": "1"})
        ids = [new() for _ in range(6)]
        cells = {"species": "walnut", "quarters": "4/4", "length": "96", "width": "7"}
        bodies = [{"key": new(), "cells": {"board": f"B{n}", **cells}} for n in range(6)]
        for n in order:
            assert client.put(f"/api/boards/{ids[n]}", json=bodies[n]).status_code == 200
        if lost:  # answers that never came: everything is sent once more
            for n in order:
                assert client.put(f"/api/boards/{ids[n]}", json=bodies[n]).status_code == 200
        assert names(rack) == sorted(f"B{n}" for n in set(order))
        assert len(rack.history()) == len(set(order))
        assert rack.check() == []
