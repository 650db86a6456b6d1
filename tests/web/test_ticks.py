"""Ticks: one that was answered with 200 is never lost, whoever else ticks, plans again or is killed meanwhile."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from serving import Server, shelves, tick_of
from starlette.testclient import TestClient

from yieldopt.cli import main
from yieldopt.records.planfile import loads
from yieldopt.replanning import intime, onfolder
from yieldopt.web.bench import Bench

Page = Callable[..., TestClient]


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return shelves(tmp_path_factory.mktemp("planned"))


@pytest.fixture
def folder(tmp_path: Path, planned: Path) -> Path:
    import shutil

    return Path(shutil.copytree(planned, tmp_path / "plan"))


def made(folder: Path) -> set[tuple[str, int]]:
    """Cuts that are made, by the plan and by its ticks together."""
    plan = loads((folder / "plan.json").read_text())
    done = {(b.board, c.order) for b in plan.boards for c in b.cuts if c.state == "done"}
    ticks = json.loads((folder / "state.json").read_text())["cuts"] if (folder / "state.json").exists() else {}
    return done | {(b, int(o)) for b, orders in ticks.items() for o, s in orders.items() if s == "done"}


def test_two_servers_on_one_folder_keep_every_tick_they_said_yes_to(tmp_path: Path, folder: Path) -> None:
    servers = [Server(tmp_path / "shop.rack", "--plan", str(folder)) for _ in range(2)]
    plan = servers[0].client().get("/api/bench/0").json()
    cuts = [(b["board"], c["order"]) for b in plan["boards"] for c in b["cuts"]]
    said = []

    def tick(n: int) -> None:
        board, order = cuts[n]
        body = tick_of(plan, board=board, cut=order)
        answer = servers[n % 2].client().post("/api/bench/0/ticks", json=body)
        assert answer.status_code == 200, answer.text
        said.append(cuts[n])

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(tick, range(len(cuts))))
    for server in servers:
        assert server.stop()[-1] == "stopped"
    assert len(said) == len(cuts) >= 16
    assert made(folder) == set(cuts)


def test_killed_at_any_moment_it_has_what_it_said_yes_to(tmp_path: Path, folder: Path) -> None:
    server = Server(tmp_path / "shop.rack", "--plan", str(folder))
    client = server.client()
    plan = client.get("/api/bench/0").json()
    cuts = [(b["board"], c["order"]) for b in plan["boards"] for c in b["cuts"]]
    said = set()
    threading.Timer(0.5, server.kill).start()
    for board, order in cuts * 50:
        try:
            state = "planned" if (board, order) in said else "done"
            answer = client.post("/api/bench/0/ticks", json=tick_of(plan, board=board, cut=order, state=state, was=_other(state)))
        except Exception:
            pending = (board, order)
            break
        assert answer.status_code == 200
        said ^= {(board, order)}
    else:
        pytest.fail("it was never killed")
    assert made(folder) - {pending} == said - {pending}


def _other(state: str) -> str:
    return "done" if state == "planned" else "planned"


def slow_replan(monkeypatch: pytest.MonkeyPatch, meanwhile: Callable[[int], None]) -> None:
    """`meanwhile` is called with the number of the try each time when a new plan was made and is not yet written."""
    real, tries = intime.replan, [0]

    def replan(*args: Any, **options: Any) -> Any:
        result = real(*args, **options)
        meanwhile(tries[0])
        tries[0] += 1
        return result

    monkeypatch.setattr(intime, "replan", replan)


def test_ticks_that_come_while_it_is_planned_again_are_in_the_new_revision(
    page: Page, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = page(bench=Bench([folder]))
    plan = client.get("/api/bench/0").json()
    board, later = plan["boards"][0], plan["boards"][-1]
    cuts = [c["order"] for c in later["cuts"]]
    assert client.post("/api/bench/0/ticks", json=tick_of(plan, board=board["board"], cut=1)).status_code == 200
    found = {"kind": "check", "face": "A", "x": "50", "y": "1", "length": "1/4", "width": "1/4"}

    def meanwhile(n: int) -> None:
        if n == 0:
            for order in cuts:
                answer = client.post("/api/bench/0/ticks", json=tick_of(plan, board=later["board"], cut=order))
                assert answer.status_code == 200
            answer = client.post("/api/bench/0/ticks", json=tick_of(plan, board=later["board"], found=found))
            assert answer.status_code == 200

    slow_replan(monkeypatch, meanwhile)
    assert main(["replan", str(folder / "plan.json"), "--out", str(folder), "--seconds", "2"]) in (0, 3)
    new = client.get("/api/bench/0").json()
    assert new["revision"] == 2
    assert {(board["board"], 1), *((later["board"], o) for o in cuts)} <= made(folder)
    shown = next(b for b in new["boards"] if b["board"] == later["board"])
    assert [c["state"] for c in shown["cuts"]] == ["done"] * len(cuts)
    assert [f["x"] for f in shown["found"]] == ["50"]
    offer = client.get("/api/bench").json()[0]
    assert offer["done"] == 1 + len(cuts)


def test_a_tick_taken_back_while_it_is_planned_again_is_planned_for(
    page: Page, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = page(bench=Bench([folder]))
    plan = client.get("/api/bench/0").json()
    board = plan["boards"][0]["board"]
    client.post("/api/bench/0/ticks", json=tick_of(plan, board=board, cut=1))
    tries = []

    def meanwhile(n: int) -> None:
        tries.append(n)
        if n == 0:
            back = tick_of(plan, board=board, cut=1, was="done", state="planned")
            assert client.post("/api/bench/0/ticks", json=back).status_code == 200

    slow_replan(monkeypatch, meanwhile)
    assert main(["replan", str(folder / "plan.json"), "--out", str(folder), "--seconds", "2"]) in (0, 3)
    assert tries == [0, 1]
    assert made(folder) == set()


def test_a_bench_that_is_always_quicker_has_to_wait_at_last(page: Page, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    client = page(bench=Bench([folder]))
    plan = client.get("/api/bench/0").json()
    boards = [b["board"] for b in plan["boards"]]
    waiting = []

    def tick(board: str, state: str) -> int:
        body = tick_of(plan, board=board, cut=1, was=_other(state), state=state)
        return int(client.post("/api/bench/0/ticks", json=body).status_code)

    assert [tick(board, "done") for board in boards[: onfolder.FREE_TRIES]] == [200] * onfolder.FREE_TRIES

    def meanwhile(n: int) -> None:
        if n < onfolder.FREE_TRIES:
            # What it was planned with is taken back: it has to be planned again.
            assert tick(boards[n], "planned") == 200
        else:
            waiting.append(threading.Thread(target=tick, args=(boards[-1], "done")))
            waiting[0].start()

    slow_replan(monkeypatch, meanwhile)
    assert main(["replan", str(folder / "plan.json"), "--out", str(folder), "--seconds", "1"]) in (0, 3)
    waiting[0].join(30)
    assert made(folder) == {(boards[-1], 1)}


def test_a_tick_made_on_the_plan_before_counts_where_the_cut_is_still_there(page: Page, folder: Path) -> None:
    client = page(bench=Bench([folder]))
    old = client.get("/api/bench/0").json()
    first, last = old["boards"][0], old["boards"][-1]
    client.post("/api/bench/0/ticks", json=tick_of(old, board=first["board"], cut=1))
    assert main(["replan", str(folder / "plan.json"), "--out", str(folder), "--seconds", "1"]) in (0, 3)
    late = tick_of(old, board=last["board"], cut=1)
    answer = client.post("/api/bench/0/ticks", json=late)
    assert answer.status_code == 200, answer.text
    assert answer.json()["revision"] == 2
    assert (last["board"], 1) in made(folder)
    # What the new plan was built on can't be taken back, and that is said.
    now = answer.json()
    back = client.post("/api/bench/0/ticks", json=tick_of(now, board=first["board"], cut=1, was="done", state="planned"))
    assert back.status_code == 409
    assert "can't be taken back here" in back.json()["error"]
    # A plan that nobody knows is told apart.
    assert client.post("/api/bench/0/ticks", json={**late, "key": first_key(), "plan": "0" * 64}).status_code == 409


def first_key() -> str:
    return "00000000-0000-0000-0000-000000000001"


def test_a_key_with_another_tick_is_refused_and_a_repeat_is_not(page: Page, folder: Path) -> None:
    client = page(bench=Bench([folder]))
    plan = client.get("/api/bench/0").json()
    board = plan["boards"][0]["board"]
    tick = tick_of(plan, board=board, cut=1)
    assert [client.post("/api/bench/0/ticks", json=tick).status_code for _ in range(2)] == [200, 200]
    other = client.post("/api/bench/0/ticks", json={**tick, "cut": 2})
    assert other.status_code == 409
    assert made(folder) == {(board, 1)}
    # Remembered by the next revision too.
    assert main(["replan", str(folder / "plan.json"), "--out", str(folder), "--seconds", "1"]) in (0, 3)
    assert client.post("/api/bench/0/ticks", json=tick).status_code == 200
    assert client.post("/api/bench/0/ticks", json={**tick, "cut": 2}).status_code == 409


def test_a_defect_that_was_noted_shows_at_once_and_can_be_taken_back(page: Page, folder: Path) -> None:
    client = page(bench=Bench([folder]))
    plan = client.get("/api/bench/0").json()
    board = plan["boards"][0]["board"]
    found = {"kind": "check", "face": "A", "x": "20", "y": "1", "length": "3", "width": "1/8"}
    noted = tick_of(plan, board=board, found=found)
    shown = client.post("/api/bench/0/ticks", json=noted).json()["boards"][0]["found"]
    assert [(f["id"], f["x"]) for f in shown] == [(noted["key"], "20")]
    back = tick_of(plan, board=board, take_back=noted["key"])
    assert client.post("/api/bench/0/ticks", json=back).json()["boards"][0]["found"] == []
    again_ = client.post("/api/bench/0/ticks", json=tick_of(plan, board=board, take_back=noted["key"]))
    assert again_.status_code == 409
    assert "taken back" in again_.json()["error"]


DAMAGED = {
    "cut off": "{",
    "something else": '{"format": "other"}',
    "no plan": '{"format": "yieldopt-state/1"}',
    "cuts in a list": '{"format": "yieldopt-state/1", "plan": "x", "cuts": [1]}',
    "a defect without a board": '{"format": "yieldopt-state/1", "plan": "x", "found": [{"x": "1"}]}',
    "nested without end": "[" * 5000,
}


@pytest.mark.parametrize("text", DAMAGED.values(), ids=DAMAGED.keys())
def test_a_damaged_state_hides_no_other_plan_and_is_left_alone(page: Page, folder: Path, planned: Path, text: str) -> None:
    (folder / "state.json").write_text(text)
    client = page(bench=Bench([folder, planned]))
    offers = client.get("/api/bench").json()
    assert "state.json" in offers[0]["error"]
    assert offers[1]["done"] == 0
    answer = client.get("/api/bench/0")
    assert answer.status_code == 400
    assert "left as it is" in answer.json()["error"]
    assert (folder / "state.json").read_text() == text


def test_a_state_without_some_keys_counts_as_nothing_ticked_there(page: Page, folder: Path) -> None:
    client = page(bench=Bench([folder]))
    plan = client.get("/api/bench/0").json()
    (folder / "state.json").write_text(json.dumps({"format": "yieldopt-state/1", "plan": plan["plan"]}))
    assert client.get("/api/bench").json()[0]["done"] == 0
    assert client.post("/api/bench/0/ticks", json=tick_of(plan, board=plan["boards"][0]["board"], cut=1)).status_code == 200
