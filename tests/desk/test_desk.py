"""The desk's addresses: who is let in, what is kept, a plan from its beginning to its sheets."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from yieldopt.checking import check
from yieldopt.demo import inventory
from yieldopt.desk.app import make_desk
from yieldopt.desk.key import Keys
from yieldopt.desk.setup import Desk
from yieldopt.reading import read_job
from yieldopt.reading.plans import read_plan

MARK = {"x-yieldopt": "1"}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    folder = Path(shutil.copytree(inventory() / "tool-rack", tmp_path / "rack"))
    desk = Desk(Keys())
    desk.open(folder)
    yield desk
    desk.close()


@pytest.fixture
def client(desk: Desk) -> TestClient:
    client = TestClient(make_desk(desk), base_url="http://localhost", headers=MARK)
    assert client.post("/api/pair", json={"key": desk.keys.key}).status_code == 200
    return client


def test_the_key_lets_one_window_in(desk: Desk) -> None:
    app, key = make_desk(desk), desk.keys.key
    first, second = (TestClient(app, base_url="http://localhost", headers=MARK) for _ in range(2))
    assert first.get("/api/job").status_code == 401
    assert first.post("/api/pair", json={"key": "something"}).status_code == 400
    assert first.post("/api/pair", json={"key": key}).status_code == 200
    assert first.get("/api/job").json()["name"] == "tool rack"
    assert second.post("/api/pair", json={"key": key}).status_code == 400
    assert second.get("/api/job").status_code == 401
    assert second.get("/api/plan").status_code == 401


def test_other_pages_and_other_names_are_refused(client: TestClient) -> None:
    tables = {"tables": {}}
    assert client.post("/api/check", json=tables, headers={"origin": "http://elsewhere"}).status_code == 403
    assert client.post("/api/check", json=tables, headers={"x-yieldopt": ""}).status_code == 403
    assert client.get("/api/job", headers={"host": "rebound.example"}).status_code == 421
    assert client.get("/static/..%2f..%2fapp.py").status_code == 404


def test_tables_are_kept_and_clashes_told(client: TestClient, desk: Desk) -> None:
    parts = client.get("/api/job").json()["tables"]["parts"]
    parts["rows"][0][parts["columns"].index("qty")] = "3"
    kept = client.put("/api/tables", json={"tables": {"parts": parts}})
    assert kept.status_code == 200
    assert {p.name: p.qty for p in read_job(desk.at().folder).parts}["side"] == 3
    clash = client.put("/api/tables", json={"tables": {"parts": parts}})
    assert clash.status_code == 409
    assert clash.json()["theirs"]["parts"] == kept.json()["parts"]


def waited(client: TestClient) -> dict[str, Any]:
    until = time.monotonic() + 300
    while time.monotonic() < until:
        run: dict[str, Any] = client.get("/api/run").json()
        if run["state"] != "running":
            return run
        time.sleep(0.1)
    raise AssertionError("the run does not end")


def test_a_plan_comes_is_stopped_kept_and_printed(client: TestClient, desk: Desk) -> None:
    assert client.get("/api/plan").json() is None
    assert client.get("/api/packet.pdf").status_code == 400
    assert client.post("/api/plan", json={"seconds": 600}).status_code == 200
    assert client.post("/api/plan", json={"seconds": 5}).status_code == 400
    until = time.monotonic() + 300
    while not (shown := client.get("/api/plan").json()):
        assert time.monotonic() < until
        time.sleep(0.1)
    assert {s["board"] for s in shown["plan"]["sheets"]} <= {b["name"] for b in shown["boards"]}
    client.post("/api/plan/stop")
    run = waited(client)
    assert (run["state"], run["error"]) == ("done", None)
    assert run["sketches"] >= 1
    plan, _ = read_plan(desk.at().folder / "plan" / "plan.json")
    assert not check(read_job(desk.at().folder / "plan" / "job"), plan)
    assert client.get("/api/plan").json()["plan"]["cost"] == plan.totals.net_cost
    printed = client.get("/api/packet.pdf", params={"only": "sheets", "paper": "a4"})
    assert printed.content.startswith(b"%PDF")
    # Another run of the desk shows what lies in the folder.
    again = Desk(Keys())
    again.open(desk.at().folder)
    other = TestClient(make_desk(again), base_url="http://localhost", headers=MARK)
    other.post("/api/pair", json={"key": again.keys.key})
    assert other.get("/api/plan").json() == client.get("/api/plan").json()


def test_a_plan_of_a_job_with_mistakes_is_refused(client: TestClient, desk: Desk) -> None:
    text = (desk.at().folder / "parts.csv").read_text()
    (desk.at().folder / "parts.csv").write_text(text.replace("shelf,2", "shelf,two"))
    refused = client.post("/api/plan", json={"seconds": 5})
    assert (refused.status_code, "mistakes" in refused.json()["error"]) == (400, True)
    assert client.get("/api/run").json()["state"] == "none"


def test_a_damaged_plan_is_not_shown(client: TestClient, desk: Desk) -> None:
    (desk.at().folder / "plan").mkdir()
    (desk.at().folder / "plan" / "plan.json").write_text("{}")
    assert client.get("/api/plan").status_code == 400
