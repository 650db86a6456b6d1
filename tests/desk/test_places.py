"""Where the desk lets a piece be put: each piece of a checked plan may lie where it lies, and the rules' own words are named."""

from __future__ import annotations

from functools import cache

import pytest

from yieldopt.demo import inventory
from yieldopt.desk.about import about
from yieldopt.desk.places import Ground, Grounds, grounds, wishes
from yieldopt.ground.lengths import as_typed, to_number
from yieldopt.planning import plan_job
from yieldopt.reading import read_job
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan
from yieldopt.workers.serial import Serial


@cache
def planned(name: str) -> tuple[Job, Plan]:
    job = read_job(inventory() / name)
    return job, plan_job(job, seconds=600, steps=4, executor=Serial()).plan


def inside(ground: Ground, x: float, y: float) -> str | None:
    """Why not, as the page looks it up."""
    if ground.why or not ground.spans[0][0] - 1e-6 <= x <= ground.end + 1e-6:
        return ground.why or "ends"
    _, low, high = [s for s in ground.spans if s[0] <= x + 1e-6][-1]
    if not low - 1e-6 <= y <= high + 1e-6:
        return "edges"
    hair = 1e-6
    met = (b for b in ground.barred if b.x0 + hair < x < b.x1 - hair and b.y0 + hair < y < b.y1 - hair)
    return next((b.why for b in met), None)


def of(found: Grounds, board: str) -> Ground:
    return next(g for g in found.grounds if g.board == board)


@pytest.mark.parametrize("name", ["tool-rack"])
def test_every_piece_may_lie_where_it_lies(name: str) -> None:
    job, plan = planned(name)
    for board, piece in plan.pieces():
        found = grounds(job, plan, piece.piece)
        assert found is not None
        x, y = (float(to_number(v, job.units)) for v in (piece.x, piece.y))
        assert inside(of(found, board.board), x, y) is None, piece.piece


def test_what_bars_it_is_named() -> None:
    job, plan = planned("tool-rack")
    found = grounds(job, plan, "side#1")
    assert found is not None
    assert of(found, "N1").why == "another species"
    reasons = {b.why for g in found.grounds for b in g.barred}
    assert reasons
    assert all(r.startswith("too near the ") for r in reasons)
    assert inside(of(found, "E1"), -5.0, 0.0) == "ends"


def test_a_whole_blank_may_lie_where_it_lies_and_its_wishes_keep_its_pieces_together() -> None:
    job, plan = planned("tool-rack")
    for board in plan.boards:
        for blank in board.blanks:
            found = grounds(job, plan, blank.pieces[0], whole=True)
            assert found is not None
            assert sorted(found.pieces) == sorted(blank.pieces)
            mine = [p for p in board.pieces if p.blank == blank.blank]
            x, y = (min(getattr(p, k) for p in mine) for k in ("x", "y"))
            at = (board.board, as_typed(x, job.units), as_typed(y, job.units))
            assert inside(of(found, board.board), float(to_number(x, job.units)), float(to_number(y, job.units))) is None
            rows = wishes(job, plan, blank.pieces[0], True, at)
            assert rows is not None
            lying = {p.piece: (as_typed(p.x, job.units), as_typed(p.y, job.units)) for p in mine}
            assert {r["piece"]: (r["x"], r["y"]) for r in rows} == lying


def test_a_piece_tells_why_it_is_as_it_is() -> None:
    job, plan = planned("tool-rack")
    said = about(job, plan, "side#1")
    assert said is not None
    assert any("length" in t for t in said.sizes)
    assert any("of thickness to spare" in t for t in said.tight)
    assert said.elsewhere
    assert about(job, plan, "nothing#1") is None


def test_no_such_piece() -> None:
    assert grounds(*planned("tool-rack"), "nothing#1") is None
