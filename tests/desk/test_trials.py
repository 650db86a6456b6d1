"""Planning on trial at the desk: round wishes and after surprises; nothing is written until it is taken."""

from __future__ import annotations

import json
import shutil
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from yieldopt.checking import check
from yieldopt.desk.app import make_desk
from yieldopt.desk.comparing import compared
from yieldopt.desk.key import Keys
from yieldopt.desk.setup import Desk
from yieldopt.ground.lengths import as_typed
from yieldopt.reading import read_job
from yieldopt.reading.plans import read_plan
from yieldopt.wood.plan import Unplaced

MARK = {"x-yieldopt": "1"}


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Desk, TestClient]]:
    """One desk for all, since its planner takes seconds to come up."""
    desk = Desk(Keys())
    client = TestClient(make_desk(desk), base_url="http://localhost", headers=MARK)
    client.post("/api/pair", json={"key": desk.keys.key})
    yield desk, client
    desk.close()


@pytest.fixture
def client(running: tuple[Desk, TestClient], planned_rack: Path, tmp_path: Path) -> TestClient:
    desk, client = running
    desk.open(Path(shutil.copytree(planned_rack, tmp_path / "rack")))
    return client


@pytest.fixture
def folder(client: TestClient, running: tuple[Desk, TestClient]) -> Path:
    return running[0].at().folder


def tables(client: TestClient) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/api/job").json()["tables"]
    return found


def tried(client: TestClient, tables: dict[str, Any], lines: list[str] = []) -> dict[str, Any]:  # noqa: B006
    begun = client.post("/api/trial", json={"tables": tables, "lines": lines})
    assert begun.status_code == 200, begun.text
    until = time.monotonic() + 300
    while time.monotonic() < until:
        now: dict[str, Any] = client.get("/api/trial").json()
        if now["state"] != "working":
            return now
        time.sleep(0.1)
    raise AssertionError("the trial does not end")


def all_files(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_a_wish_is_tried_left_and_taken(client: TestClient, folder: Path) -> None:
    plan, _ = read_plan(folder / "plan" / "plan.json")
    lying = [(b.board, p) for b, p in plan.pieces()]
    board, piece = next((b, p) for b, p in lying if p.part == "shelf")
    there = next(
        g
        for g in client.get("/api/places", params={"piece": piece.piece}).json()["grounds"]
        if not g["why"] and g["board"] != board
    )
    x, low = there["end"], there["spans"][-1][1]
    rows = client.get("/api/wishes", params={"piece": piece.piece, "board": there["board"], "x": x, "y": low}).json()
    assert [r["piece"] for r in rows] == [piece.piece]
    now, before = tables(client), all_files(folder)
    now["pins"] = {"columns": list(rows[0]), "rows": [list(r.values()) for r in rows], "digest": now["pins"]["digest"]}
    found = tried(client, now)
    assert found["state"] == "done", found["error"]
    assert all_files(folder) == before
    moved = {m["piece"]: m for m in found["found"]["moved"]}
    assert moved[piece.piece]["before"].startswith(board)
    assert moved[piece.piece]["after"] is None or moved[piece.piece]["after"].startswith(there["board"])
    cost = found["found"]["after"]["plan"]["cost"] - found["found"]["before"]["plan"]["cost"]
    assert f"{abs(cost):.2f}" in found["found"]["words"] or "costs the same" in found["found"]["words"]
    assert all(b in found["found"]["words"] for b in found["found"]["new"])
    # Left, the plan at hand is what it was; an older trial can't be taken.
    client.post("/api/trial/leave")
    assert client.get("/api/trial").json() is None
    assert client.post("/api/trial/take", json={"trial": found["trial"]}).status_code == 400
    # Tried again and taken, it is the plan, with the one before it beside it.
    found = tried(client, now)
    assert client.post("/api/trial/take", json={"trial": found["trial"]}).json() == {"revision": 2}
    new, _ = read_plan(folder / "plan" / "plan.json")
    assert not check(read_job(folder / "plan" / "job"), new)
    assert client.get("/api/plan").json()["plan"]["revision"] == 2
    assert (folder / "plan" / "earlier" / "revision-1.json").read_bytes() == before["plan/plan.json"]
    offered = [p["words"] for p in client.get("/api/plans").json()]
    assert offered[0] == "the plan at hand"
    assert offered[1].startswith("revision 1")
    beside = client.get("/api/compare", params={"first": 1, "second": 0}).json()
    assert beside["words"] == found["found"]["words"]
    assert beside["moved"] == found["found"]["moved"]


def test_a_surprise_is_tried_before_it_is_taken(client: TestClient, folder: Path) -> None:
    """A piece is spoiled and a check opens in another: both are in the history once it is taken."""
    plan, _ = read_plan(folder / "plan" / "plan.json")
    entry = max(plan.boards, key=lambda b: len(b.pieces))
    spoiled = entry.pieces[0]
    other = next(p for p in reversed(entry.pieces) if p.blank != spoiled.blank)
    now, before = tables(client), all_files(folder)
    job = read_job(folder)
    x, y = (as_typed(at + inch / 2, job.units) for at, inch in ((other.x, Fraction(1)), (other.y, Fraction(1))))
    check_ = {"board": entry.board, "kind": "check", "face": "both", "x": x, "y": y, "length": "10", "width": "8"}
    columns = now["defects"]["columns"]
    now["defects"]["rows"].append([check_.get(c, "") for c in columns])
    found = tried(client, now, [f"{spoiled.piece}: spoiled"])
    assert found["state"] == "done", found["error"]
    assert all_files(folder) == before
    told = "\n".join(found["told"])
    assert f"to make again: {spoiled.piece}" in told
    assert f"to make again: {other.piece}: check in it on {entry.board}" in told
    assert client.post("/api/trial/take", json={"trial": found["trial"]}).status_code == 200
    new = json.loads((folder / "plan" / "plan.json").read_text())
    assert {f"{spoiled.piece}: spoiled", f"{entry.board}: check found"} <= set(new["revisions"][-1]["told"])
    # Boards are cut now: a plan from nothing is refused, unless it is meant.
    refused = client.post("/api/plan", json={"seconds": 5})
    assert (refused.status_code, refused.json()["begun"]) == (409, True)


def test_lines_that_can_not_be_true_are_named(client: TestClient) -> None:
    refused = client.post("/api/trial", json={"tables": tables(client), "lines": ["side#9: spoiled", "nonsense"]})
    assert refused.status_code == 422
    assert "side#9" in refused.json()["error"]
    assert "nonsense" in refused.json()["error"]


def test_a_tick_at_the_bench_meanwhile_is_not_lost(client: TestClient, folder: Path) -> None:
    from yieldopt.replanning import tickfile

    text = (folder / "plan" / "plan.json").read_text()
    plan, _ = read_plan(folder / "plan" / "plan.json")
    found = tried(client, tables(client), [f"{next(p for _, p in plan.pieces()).piece}: spoiled"])
    ticks = tickfile.Ticks(tickfile.digest_of(text), {plan.boards[-1].board: {1: "done"}})
    (folder / "plan" / tickfile.FILE).write_text(tickfile.dumps(ticks))
    refused = client.post("/api/trial/take", json={"trial": found["trial"]})
    assert (refused.status_code, "meanwhile" in refused.json()["error"]) == (400, True)
    assert (folder / "plan" / "plan.json").read_text() == text


def test_a_board_is_left_and_its_line_stands_in_the_settings(client: TestClient, folder: Path) -> None:
    now = tables(client)
    plan, _ = read_plan(folder / "plan" / "plan.json")
    name = plan.boards[0].board
    now["leave"]["rows"] = [[name]]
    found = tried(client, now)
    assert name in found["found"]["dropped"]
    kept = client.put("/api/tables", json={"tables": {"leave": now["leave"]}})
    assert kept.json()["leave"]["rows"] == [[name]]
    assert read_job(folder).leave == {name}


def test_the_same_plan_costs_the_same(planned_rack: Path) -> None:
    seen = read_job(planned_rack / "plan" / "job"), read_plan(planned_rack / "plan" / "plan.json")[0]
    assert compared(seen, seen).words == "costs the same"
    assert compared(seen, seen).moved == []


def test_what_has_no_place_is_told_before_the_money_that_it_saves(planned_rack: Path) -> None:
    job, plan = read_job(planned_rack / "plan" / "job"), read_plan(planned_rack / "plan" / "plan.json")[0]
    gone = plan.boards[0]
    parts = Counter(p.part for p in gone.pieces if p.stave is None)
    totals = replace(plan.totals, net_cost=plan.totals.net_cost - 10)
    less = replace(plan, boards=plan.boards[1:], unplaced=tuple(Unplaced(p, n) for p, n in parts.items()), totals=totals)
    words = compared((job, plan), (job, less)).words
    assert words.startswith("no place for ")
    assert all(f"{n} x {part}" in words for part, n in parts.items())
    assert words.endswith(f"without that − 10.00, and {gone.board} is not cut any more")
