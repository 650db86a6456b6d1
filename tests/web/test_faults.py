"""A fault of the program is told as one, and what is not there as that: neither passes for the other."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from yieldopt.rack.door.facade import Rack
from yieldopt.web.app import Setup, make_app

MARK = {"x-yieldopt": "1"}


@pytest.mark.parametrize("error", [KeyError("quarters"), IndexError("list index out of range"), ZeroDivisionError("boards")])
def test_a_fault_is_500_in_clear_words_and_reaches_the_terminal(
    rack: Rack, change: Callable[..., Any], monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    from yieldopt.web import exchange

    def faulty(*_: Any) -> Any:
        raise error

    monkeypatch.setattr(exchange, "as_json", faulty)
    app = make_app(Setup(rack))
    address = f"/api/boards/{uuid.uuid4()}"
    answer = TestClient(app, base_url="http://localhost", headers=MARK, raise_server_exceptions=False).put(address, json=change())
    assert answer.status_code == 500
    assert "the program at the rack has a fault" in answer.json()["error"]
    assert "stays on this phone" in answer.json()["error"]
    assert str(error) not in answer.text, "what it stumbled over is for the terminal"
    # What the server prints is what the application raises.
    with pytest.raises(type(error)):
        TestClient(app, base_url="http://localhost", headers=MARK).put(f"/api/boards/{uuid.uuid4()}", json=change("W2"))


NOWHERE = [
    "/api/bench/7",
    "/api/bench/7/sheets/W1/0.svg",
    f"/api/bench/0/replan/{'b' * 32}",
    f"/api/jobs/0/enough/{'b' * 32}",
    "/api/boards/00000000-0000-4000-8000-000000000000",
    f"/api/photos/{'a' * 64}",
    "/static/nothing.js",
    "/nothing",
]


@pytest.mark.parametrize("path", NOWHERE)
def test_what_is_not_there_is_404_in_words(page: Callable[..., TestClient], path: str) -> None:
    answer = page().get(path)
    assert answer.status_code == 404, answer.text
    assert answer.json()["error"]


def test_of_a_plan_only_what_is_drawn_is_there(page: Callable[..., TestClient], tmp_path: Path) -> None:
    from serving import shelves

    from yieldopt.web.bench import Bench

    client = page(bench=Bench([shelves(tmp_path / "plan")]))
    stem = client.get("/api/bench/0").json()["boards"][0]["stem"]
    found = {at: client.get(f"/api/bench/0/sheets/{at}.svg").status_code for at in (f"{stem}/0", f"{stem}/99", "nobody/0")}
    assert found == {f"{stem}/0": 200, f"{stem}/99": 404, "nobody/0": 404}
    answer = client.post("/api/bench/1/ticks", json={"key": str(uuid.uuid4()), "plan": "x", "board": "A1", "cut": 1})
    assert answer.status_code in (404, 422)
