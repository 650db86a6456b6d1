"""Two planners can't hold one board, and a crashed one does not hold it for ever."""

from __future__ import annotations

import threading
from collections.abc import Callable

import pytest
from making import entry

from yieldopt.rack import boards_for_job
from yieldopt.rack.board.errors import BoardHeld, NoSuchBoard
from yieldopt.rack.books.holding import PLANNER_SECONDS
from yieldopt.rack.door.facade import Rack


class Clock:
    """A clock that the test turns."""

    def __init__(self) -> None:
        self.now = 1_700_000_000.0

    def __call__(self) -> float:
        return self.now


def free(rack: Rack, job: str | None = None, token: str | None = None) -> list[str]:
    return [b.name for b in rack.available_boards(job, token)]


def test_a_board_is_held_for_one_job_only(rack: Rack, where: str) -> None:
    rack.log_all([entry("A1"), entry("A2")])
    rack.hold("sideboard", ["A1"])
    with pytest.raises(BoardHeld, match="A1 is held for sideboard"):
        rack.hold("bench", ["A2", "A1"])
    # All or none: A2 is still free.
    assert free(rack) == free(rack, "bench") == ["A2"]
    assert free(rack, "sideboard") == ["A1", "A2"]
    assert [b.name for b in boards_for_job(where, "bench")] == ["A2"]
    assert rack.release(job="bench") == []
    assert rack.release(job="sideboard") == ["A1"]
    assert free(rack, "bench") == ["A1", "A2"]


def test_two_planners_of_one_job_keep_apart(rack: Rack) -> None:
    rack.log(entry("A1"))
    rack.hold("sideboard", ["A1"], token="first")
    with pytest.raises(BoardHeld):
        rack.hold("sideboard", ["A1"], token="second")
    assert free(rack, "sideboard", "second") == []
    rack.hold("sideboard", ["A1"], token="first")
    rack.settle("sideboard", ["A1"], "first")
    # The job holds it now, so a later planner of the job may plan anew with it.
    assert free(rack, "sideboard", "second") == ["A1"]
    rack.hold("sideboard", ["A1"], token="second")


def test_a_planner_that_crashed_lets_go_by_itself(where: str) -> None:
    clock = Clock()
    with Rack.open(where, create=True, clock=clock) as rack:
        rack.log(entry("A1"))
        rack.hold("sideboard", ["A1"], token="crashed")
        clock.now += PLANNER_SECONDS - 1
        with pytest.raises(BoardHeld):
            rack.hold("bench", ["A1"])
        clock.now += 1
        assert free(rack, "bench") == ["A1"]
        assert [h.job for h in rack.hold("bench", ["A1"])] == ["bench"]
        # Had the first one only slept, it learns that it came too late.
        with pytest.raises(BoardHeld, match="held for bench"):
            rack.settle("sideboard", ["A1"], "crashed")


def test_a_planner_that_fails_leaves_its_job_what_it_held(where: str) -> None:
    """The sheets of the job's earlier plan are at the bench."""
    clock = Clock()
    with Rack.open(where, create=True, clock=clock) as rack:
        rack.log_all([entry("A1"), entry("A2")])
        rack.hold("sideboard", ["A1"])
        before = rack.history()
        rack.hold("sideboard", ["A1", "A2"], token="t")
        assert free(rack, "bench") == []
        rack.release(job="sideboard", token="t")
        assert free(rack, "bench") == ["A2"]
        rack.hold("sideboard", ["A1", "A2"], token="crashed")
        clock.now += PLANNER_SECONDS
        assert free(rack, "bench") == ["A2"]
        # A planner's looking about is no news; what it settles on is.
        assert rack.history() == before
        rack.hold("sideboard", ["A1", "A2"], token="t")
        rack.settle("sideboard", ["A2"], "t")
        assert free(rack, "bench") == ["A1"]
        assert rack.history()[0].what == "hold"


def test_a_sign_of_life_renews_a_hold(where: str) -> None:
    clock = Clock()
    with Rack.open(where, create=True, clock=clock) as rack:
        rack.log(entry("A1"))
        for _ in range(5):
            rack.hold("sideboard", ["A1"], token="t", seconds=60)
            clock.now += 59
        assert free(rack, "bench") == []


def test_settling_releases_what_the_plan_does_not_use(rack: Rack) -> None:
    rack.log_all([entry("A1"), entry("A2"), entry("A3")])
    rack.hold("sideboard", ["A3"])
    rack.hold("sideboard", ["A1", "A2", "A3"], token="t")
    rack.settle("sideboard", ["A2"], "t")
    assert free(rack, "bench") == ["A1", "A3"]
    assert [h.token for h in rack.holds("sideboard").values()] == [None]


def test_holding_what_is_not_there(rack: Rack) -> None:
    rack.log(entry("A1"))
    with pytest.raises(NoSuchBoard, match="B1, B2"):
        rack.hold("sideboard", ["A1", "B1", "B2"])
    assert rack.holds() == {}


def test_holds_are_in_the_ledger(rack: Rack) -> None:
    rack.log(entry("A1"))
    rack.hold("sideboard", ["A1"])
    rack.release(names=["A1"])
    assert [(c.what, c.remark) for c in rack.history("A1")][:2] == [("release", "from sideboard"), ("hold", "for sideboard")]


def test_many_planners_at_once_share_out_the_boards(where: str) -> None:
    """Eight planners grab for the same twelve boards, three at a time; each board ends with one of them."""
    with Rack.open(where, create=True) as rack:
        names = [f"A{n}" for n in range(12)]
        rack.log_all([entry(n) for n in names])
        won: dict[str, list[str]] = {}
        lost = []
        start = threading.Barrier(8)

        def plan(job: str) -> Callable[[], None]:
            def run() -> None:
                with Rack.open(where) as mine:
                    start.wait()
                    for at in range(0, 12, 3):
                        try:
                            mine.hold(job, names[at : at + 3], token=job)
                            won.setdefault(job, []).extend(names[at : at + 3])
                        except BoardHeld:
                            lost.append(job)

            return run

        threads = [threading.Thread(target=plan(f"job {n}")) for n in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(n for mine in won.values() for n in mine) == sorted(names)
        assert len(lost) == 8 * 4 - 4
        by_id = {r.id: r.name for r in rack.boards()}
        assert {(h.job, by_id[i]) for i, h in rack.holds().items()} == {(job, n) for job, mine in won.items() for n in mine}
