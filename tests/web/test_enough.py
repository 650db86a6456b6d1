"""Is this enough? The answer rests on plans that the check has passed, leaves out what is held for others, and gets better."""

from __future__ import annotations

import threading
import time
import uuid
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import pytest
from serving import SHELVES, Server, shelves, tick_of
from starlette.testclient import TestClient

from yieldopt.ground.files import write_all_atomically
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.door.facade import Rack, new_id
from yieldopt.reading.writing import job_files
from yieldopt.web import asking
from yieldopt.web.asking import Asking, Found
from yieldopt.web.jobs import Jobs
from yieldopt.web.searcher import BrokeOff, Searcher
from yieldopt.wood.lumber import Board

Page = Callable[..., TestClient]


class Here(Searcher):
    """Searches in this process, at once, for a moment and not for ever."""

    rounds = 0

    def submit(self, work: Any, *args: Any, **_none: Any) -> Any:
        self.rounds += 1
        if self.rounds > 4:
            raise RuntimeError("closed")
        future: Future[Any] = Future()

        def run() -> None:
            try:
                job, _, seed = args
                future.set_result(work(job, 2.0, seed))
            except Exception as error:
                future.set_exception(error)

        threading.Thread(target=run, daemon=True).start()
        return future


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The shelves without boards of their own."""
    write_all_atomically(tmp_path / "job", job_files(replace(SHELVES, boards=())))
    return tmp_path / "job"


@pytest.fixture
def ids(rack: Rack) -> list[str]:
    logged = [rack.log(RackBoard(new_id(), b)).id for b in SHELVES.boards]
    rack.log(RackBoard(new_id(), Board("W1", "walnut", "4/4", F(1), F(60), F(6), F(1), cost=F(20))))
    return logged


def answered(client: TestClient, body: dict[str, Any]) -> dict[str, Any]:
    """Ask, and look until it is no longer unknown or the search is over."""
    found: dict[str, Any] = client.post("/api/jobs/0/enough", json=body).raise_for_status().json()
    until = time.monotonic() + 60
    while found["answer"] == "not known" and found["state"] != "done" and time.monotonic() < until:
        time.sleep(0.1)
        found = client.get(f"/api/jobs/0/enough/{found['ask']}").raise_for_status().json()
    return found


def test_enough_is_yes_with_the_boards_and_the_price(page: Page, job: Path, ids: list[str]) -> None:
    found = answered(page(jobs=Jobs([job]), searcher=Here()), {"boards": ids})
    assert (found["answer"], found["wanted"], found["placed"], found["missing"]) == ("yes", 8, 8, [])
    assert found["words"].startswith("Yes: all 8 pieces have a place, on ")
    assert set(found["boards"]) <= {"A1", "A2", "A3", "A4"}
    assert found["net_cost"] > 0


def test_wood_held_for_another_job_covers_nothing_and_is_named(rack: Rack, page: Page, job: Path, ids: list[str]) -> None:
    client = page(jobs=Jobs([job]), searcher=Here())
    rack.hold("a chest", ["A1", "A2"])
    rack.hold("shelves", ["A3"])
    found = answered(client, {"all_but": []})
    assert found["held"] == [{"board": "A1", "job": "a chest"}, {"board": "A2", "job": "a chest"}]
    assert found["answer"] != "yes"
    assert set(found["boards"]) <= {"A3", "A4"}
    counted = client.post("/api/tally", json={"boards": ids}).json()
    assert [h["board"] for h in counted["held"]] == ["A1", "A2", "A3"]
    rack.release(job="a chest")
    assert answered(client, {"all_but": []})["answer"] == "yes"


def test_what_can_be_proven_missing_is_no_with_the_board_to_buy(page: Page, rack: Rack, job: Path) -> None:
    short = rack.log(RackBoard(new_id(), Board("S1", "ash", "4/4", F(1), F(20), F(6), F(1), cost=F(5)))).id
    found = answered(page(jobs=Jobs([job]), searcher=Here()), {"boards": [short]})
    assert found["answer"] == "no"
    assert found["words"] == "No: shelf can't come from these boards."
    assert [(m["part"], m["qty"], m["certain"]) for m in found["missing"]] == [("shelf", 8, True)]
    assert any("board" in line and "shelf" in line for line in found["shopping"])


def test_unknown_boards_are_counted_and_none_is_an_error(page: Page, job: Path, ids: list[str]) -> None:
    client = page(jobs=Jobs([job]), searcher=Here())
    assert client.post("/api/jobs/0/enough", json={"boards": [*ids, str(uuid.uuid4())]}).json()["unknown"] == 1
    assert client.post("/api/jobs/0/enough", json={"boards": [str(uuid.uuid4())]}).status_code == 400
    assert client.post("/api/jobs/0/enough", json={"boards": []}).status_code == 400
    assert client.post("/api/jobs/0/enough", json={"boards": [], "all_but": []}).status_code == 422
    assert client.post("/api/jobs/7/enough", json={"boards": ids}).status_code == 404


def test_a_plan_that_the_check_refuses_is_never_shown(
    page: Page, job: Path, ids: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from yieldopt import checking

    monkeypatch.setattr(checking, "check", lambda *_: ["overlap: A1: two pieces lie in one place"])
    found = answered(page(jobs=Jobs([job]), searcher=Here()), {"boards": ids})
    assert (found["answer"], found["boards"], found["net_cost"]) == ("not known", [], None)
    assert "the independent check refused a plan" in found["error"]
    assert "overlap" in found["error"]


class Turns:
    """Rounds that come to an end when the test says so, and a clock that is set by hand."""

    def __init__(self) -> None:
        self.now = 0.0
        self.rounds: list[tuple[Any, float, int, Future[Found]]] = []
        self.asking = Asking(self._submit, lambda: self.now)

    def _submit(self, job: Any, seconds: float, seed: int) -> Future[Found]:
        future: Future[Found] = Future()
        self.rounds.append((job, seconds, seed, future))
        return future

    def end(self, found: Found) -> None:
        self.rounds[-1][3].set_result(found)


NONE = Found((("shelf", 8, "no room found in the time"),))
SOME = Found((("shelf", 2, "no room found in the time"),), 30.0, ("A1",))


def test_the_best_is_kept_and_gets_better_while_somebody_looks() -> None:
    turns = Turns()
    ask = turns.asking.ask(SHELVES, 4, (), 0)
    said = []
    for found in (SOME, NONE, Found((), 80.0, ("A1", "A2")), SOME, Found((), 60.0, ("A1",))):
        turns.end(found)
        turns.asking.look(ask.name)
        said.append((ask.answer, ask.lacking, ask.best.net_cost if ask.best else None))
    assert said == [("not known", 2, 30.0), ("not known", 2, 30.0), ("yes", 0, 80.0), ("yes", 0, 80.0), ("yes", 0, 60.0)]
    assert [seconds for _, seconds, _, _ in turns.rounds][:5] == [2, 4, 8, 15, 15]
    assert len({seed for _, _, seed, _ in turns.rounds}) == 6
    assert ask.state == "running"


def test_it_ends_when_nobody_looks_when_it_is_proven_and_at_last() -> None:
    turns = Turns()
    ask = turns.asking.ask(SHELVES, 4, (), 0)
    turns.now += asking.LOOKED + 1
    turns.end(SOME)
    assert (ask.state, len(turns.rounds)) == ("done", 1)
    assert ask.words == "Not known: 2 of 8 pieces have no place after 2 seconds, and nothing proves that there is none."
    proven = turns.asking.ask(SHELVES, 4, (), 0)
    assert proven is not ask
    turns.end(Found((), 60.0, ("A1",), (), True))
    assert (proven.state, proven.answer) == ("done", "yes")
    long = turns.asking.ask(SHELVES, 4, (), 0)
    for _ in range(100):
        if long.state == "done":
            break
        turns.end(SOME)
        turns.asking.look(long.name)
    assert long.state == "done"
    assert long.seconds >= asking.LONGEST


def test_of_thousands_of_boards_some_are_looked_at_first_and_nothing_is_proven_from_them() -> None:
    many = tuple(replace(b, name=f"{b.name}-{n}", length=b.length + n) for n in range(250) for b in SHELVES.boards)
    large = replace(SHELVES, boards=many)
    some = asking.shortlist(large, asking.FEW)
    assert len(some.boards) == asking.FEW
    # Of a kind of board those with most wood.
    assert min(b.area for b in some.boards) >= max(b.area for b in many if b.name not in {s.name for s in some.boards})
    assert asking.shortlist(SHELVES, asking.FEW) is SHELVES
    short = replace(large, boards=tuple(replace(b, length=F(20)) for b in many))
    found = asking.searched(short, 0.3, 0)
    assert (found.certain, found.ended) == ((), False)
    assert asking.searched(large, 0.3, 0).missing == ()


def test_the_same_question_joins_and_too_many_are_told_so() -> None:
    turns = Turns()
    first = turns.asking.ask(SHELVES, 4, (), 0)
    assert turns.asking.ask(SHELVES, 4, (), 0) is first
    for n in range(1, asking.MOST_LIVE):
        turns.asking.ask(replace(SHELVES, name=str(n)), 4, (), 0)
    with pytest.raises(asking.Busy):
        turns.asking.ask(replace(SHELVES, name="one more"), 4, (), 0)


def test_a_search_that_breaks_off_is_told() -> None:
    turns = Turns()
    ask = turns.asking.ask(SHELVES, 4, (), 0)
    turns.rounds[-1][3].set_exception(BrokeOff("killed"))
    assert (ask.state, ask.answer) == ("done", "not known")
    assert "the search broke off" in ask.words


def boom(_: int) -> int:
    import os

    os._exit(7)


def fine(n: int) -> int:
    return n + 1


def test_a_process_that_dies_is_started_again() -> None:
    searcher = Searcher()
    try:
        assert searcher.submit(fine, 1).result(60) == 2
        with pytest.raises(BrokeOff):
            searcher.submit(boom, 1).result(60)
        assert searcher.submit(fine, 2).result(60) == 3
    finally:
        searcher.close()
    with pytest.raises(RuntimeError):
        searcher.submit(fine, 1)


def test_asked_and_planned_again_over_the_air(tmp_path: Path, job: Path) -> None:
    """With the process beside the page, as it is served."""
    folder = shelves(tmp_path / "plan")
    with Rack.open(tmp_path / "r.rack", create=True) as rack:
        for b in SHELVES.boards:
            rack.log(RackBoard(new_id(), b))
    server = Server(tmp_path / "r.rack", "--plan", str(folder), "--job", str(job))
    try:
        with server.client() as client:
            found = client.post("/api/jobs/0/enough", json={"all_but": [], "wait": 10}).json()
            for _ in range(300):
                if found["answer"] == "yes":
                    break
                time.sleep(0.2)
                found = client.get(f"/api/jobs/0/enough/{found['ask']}").json()
            assert found["answer"] == "yes"
            plan = client.get("/api/bench/0").json()
            board = plan["boards"][0]
            piece = board["pieces"][0]["piece"]
            spoiled = tick_of(plan, board=board["board"], piece=piece, state="spoiled")
            assert client.post("/api/bench/0/ticks", json=spoiled).status_code == 200
            run = client.post("/api/bench/0/replan", json={"plan": plan["plan"]}).json()
            for _ in range(300):
                if run["state"] == "done":
                    break
                time.sleep(0.2)
                run = client.get(f"/api/bench/0/replan/{run['ask']}").json()
            assert (run["error"], run["revision"]) == (None, 2)
            assert any("1 spoiled" in line for line in run["said"])
            assert client.get("/api/bench/0").json()["revision"] == 2
            assert client.post("/api/bench/0/replan", json={"plan": plan["plan"]}).status_code == 409
    finally:
        assert server.stop()[-1] == "stopped"
