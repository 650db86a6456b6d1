"""Ways on that reach further than what is lost, and what is said of them (invented data)."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import pytest

from yieldopt.checking import check
from yieldopt.cli import main
from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job
from yieldopt.reading import read_job
from yieldopt.records.planfile import loads
from yieldopt.replanning import again, candidate
from yieldopt.replanning.again import replan
from yieldopt.replanning.candidate import ASTRAY, way_on
from yieldopt.replanning.lost import Standing, standing, with_whole_groups
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.wood.plan import Plan

# Each board takes two stiles side by side and nothing else.
BOARD = Board("A1", "ash", "4/4", F(1), F(26), F(5), F(1), cost=F(20))
STILES = Part("stile", 2, "ash", F(3, 4), F(2), F(21), match="frame", match_kind="board")


def frame(boards: int) -> tuple[Job, Plan]:
    job = Job("frame", "in", (STILES,), tuple(replace(BOARD, name=f"A{k}", cost=F(20 + k)) for k in range(1, boards + 1)))
    return job, plan_job(job, seconds=1, seed=1, until_gap=0.01).plan


def test_a_colour_group_whose_board_is_used_up_comes_whole_from_another(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job, plan = frame(2)
    assert [b.board for b in plan.boards] == ["A1"]
    write_all_atomically(tmp_path / "p", plan_files(job, plan))
    told = ["--happened", "stile#1: done", "--happened", "stile#2: spoiled", "--seconds", "6"]
    assert main(["replan", str(tmp_path / "p/plan.json"), *told, "--out", str(tmp_path / "n")]) == 0
    assert "SET ASIDE: stile#1 is finished, but no use by itself" in capsys.readouterr().out
    new = loads((tmp_path / "n/plan.json").read_text(encoding="utf-8"))
    assert not check(read_job(tmp_path / "n/job"), new)
    assert {b.board for b in new.boards for _ in b.pieces} == {"A2"}
    assert {s.piece for b in new.boards for s in b.spoiled} == {"stile#1", "stile#2"}


def test_a_finished_piece_of_a_colour_group_stays_where_another_part_makes_room_for_less() -> None:
    """The group would go whole on the dear board; a rail that moves to the narrow one leaves it its place."""
    rail = Part("rail", 1, "ash", F(3, 4), F(2), F(21))
    wide, dear = replace(BOARD, width=F(15, 2)), replace(BOARD, name="A2", cost=F(40))
    job = Job("frame", "in", (STILES, rail), (wide, dear, replace(BOARD, name="A3", cost=F(5), width=F(3))))
    plan = plan_job(job, seconds=2, seed=1, until_gap=0.01).plan
    assert [b.board for b in plan.boards] == ["A1"]
    result = replan(job, plan, Surprise(spoiled=frozenset({"stile#2"}), done=frozenset({"stile#1"})), seconds=6)
    assert result.plan.complete
    assert not result.set_aside
    assert {e.board: {p.part for p in e.pieces} for e in result.plan.boards} == {"A1": {"stile"}, "A3": {"rail"}}


def test_a_colour_group_stays_together_where_no_other_board_takes_it() -> None:
    job, plan = frame(1)
    result = replan(job, plan, Surprise(spoiled=frozenset({"stile#2"}), done=frozenset({"stile#1"})), seconds=4)
    assert [(u.part, u.qty) for u in result.plan.unplaced] == [("stile", 2)]
    assert [n for n, _ in result.set_aside] == ["stile#1"]


def test_only_groups_that_lack_a_part_move_whole() -> None:
    job, plan = frame(2)
    s = standing(job, plan)
    assert with_whole_groups(s, frozenset(), ["stile"]) == {"stile#1", "stile#2"}
    assert with_whole_groups(s, frozenset(), ["rail"]) == frozenset()


def test_a_way_on_that_the_check_refuses_is_told_of_though_another_is_taken(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A fault of the planner must not vanish behind a plan that is right."""
    rail = Part("rail", 2, "ash", F(3, 4), F(2), F(21))
    job = Job("rails", "in", (rail,), (replace(BOARD, length=F(60), width=F(8)),))
    plan = plan_job(job, seconds=1, seed=1, until_gap=0.01).plan
    write_all_atomically(tmp_path / "p", plan_files(job, plan))
    refusals = iter([["a piece lies in a knot"]])
    monkeypatch.setattr(again, "check", lambda job, plan, before=None: next(refusals, None) or check(job, plan))
    told = ["--happened", "rail#1: spoiled", "--out", str(tmp_path / "n")]
    assert main(["replan", str(tmp_path / "p/plan.json"), *told]) == 0
    told_of = capsys.readouterr().out
    assert "FAULT: the independent check refused another option" in told_of
    assert "a piece lies in a knot" in told_of
    assert not check(read_job(tmp_path / "n/job"), loads((tmp_path / "n/plan.json").read_text(encoding="utf-8")))


def test_a_place_that_lies_in_no_wood_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault of the planner that we know no case of: its part must not vanish without a word."""
    rail = Part("rail", 2, "ash", F(3, 4), F(2), F(21))
    job = Job("rails", "in", (rail,), (replace(BOARD, width=F(8)),))
    plan = plan_job(job, seconds=1, seed=1, until_gap=0.01).plan
    state = replan(job, plan, Surprise(spoiled=frozenset({"rail#1"}), done=frozenset({"rail#2"})), seconds=4).plan
    assert state.complete

    def off_the_board(*args: object, **kwargs: object) -> object:
        result = plan_job(*args, **kwargs)  # type: ignore[arg-type]
        moved = tuple(replace(b, blanks=tuple(replace(k, x=k.x + 100) for k in b.blanks)) for b in result.plan.boards)
        return replace(result, plan=replace(result.plan, boards=moved))

    monkeypatch.setattr(candidate, "plan_job", off_the_board)
    way = way_on(standing(job, state), frozenset({"rail#1"}), True, 0.5, 0)
    assert [(u.part, u.qty, u.why) for u in way.plan.unplaced] == [("rail", 1, ASTRAY)]
    assert not check(job, way.plan)


def test_a_piece_glued_up_in_place_of_one_has_its_place() -> None:
    """What was one piece is made of staves now: it has a place, under its own name."""
    shelf = Part("shelf", 1, "ash", F(3, 4), F(4), F(21), staves=(F(3, 2), F(5)))
    boards = (replace(BOARD, cost=F(5)), *(replace(BOARD, name=f"N{k}", width=F(13, 4), cost=F(30)) for k in (1, 2)))
    job = Job("shelf", "in", (shelf,), boards)
    plan = plan_job(job, seconds=1, seed=1, until_gap=0.01).plan
    assert [b.board for b in plan.boards] == ["A1"]
    (piece,) = (p.piece for _, p in plan.pieces())
    result = replan(job, plan, Surprise(spoiled=frozenset({piece})), seconds=4)
    assert result.plan.complete
    assert len(list(result.plan.pieces())) == 2
    assert dict(result.lost)[piece] == "spoiled"


def test_ways_on_from_one_that_lacks_a_part_get_longer(monkeypatch: pytest.MonkeyPatch) -> None:
    """The group needs another board; where the first way has a place for all, nothing takes longer."""
    job, plan = frame(2)
    given: list[float] = []

    def watched(s: Standing, gone: frozenset[str], least: bool, seconds: float, *rest: Any, **named: Any) -> candidate.WholePlan:
        given.append(seconds)
        return way_on(s, gone, least, seconds, *rest, **named)

    monkeypatch.setattr(again, "way_on", watched)
    replan(job, plan, Surprise(spoiled=frozenset({"stile#2"}), done=frozenset({"stile#1"})), seconds=60)
    # Each gets a good part of what is left, and none more than there is.
    assert given[0] < min(given[1:])
    assert max(given) <= 60
    given.clear()
    roomy = replace(job, boards=tuple(replace(b, width=F(8)) for b in job.boards))
    replan(roomy, plan_job(roomy, seconds=1, until_gap=0.01).plan, Surprise(spoiled=frozenset({"stile#2"})), seconds=1)
    assert max(given) <= 1


def rails() -> tuple[Job, Plan]:
    rail = Part("rail", 3, "ash", F(3, 4), F(2), F(21))
    job = Job("rails", "in", (rail,), (replace(BOARD, length=F(60), width=F(8)),))
    return job, plan_job(job, seconds=600, steps=6).plan


def test_ways_that_the_time_did_not_reach_are_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    class Over(again.Deadline):
        over = True  # type: ignore[assignment]

    job, plan = rails()
    write_all_atomically(tmp_path / "p", plan_files(job, plan))
    monkeypatch.setattr(again, "Deadline", Over)
    told = ["--happened", "rail#1: spoiled", "--out", str(tmp_path / "n"), "--seconds", "6"]
    assert main(["replan", str(tmp_path / "p/plan.json"), *told]) == 0
    assert "all that is not begun planned again: the time did not reach it" in capsys.readouterr().out


def test_second_choices_that_the_time_did_not_reach_are_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """They were looked for however long it took."""
    job, plan = rails()
    write_all_atomically(tmp_path / "p", plan_files(job, plan))
    told = ["--happened", "rail#1: done", "--out", str(tmp_path / "n"), "--seconds", "0.01"]
    assert main(["replan", str(tmp_path / "p/plan.json"), *told]) == 0
    assert "the time did not reach: second choices; ask with: yieldopt why" in capsys.readouterr().out
    assert main(["replan", str(tmp_path / "p/plan.json"), *told[:-1], "600"]) == 0
    assert "did not reach" not in capsys.readouterr().out
