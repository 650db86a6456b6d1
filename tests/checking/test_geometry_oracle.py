"""Plans and the check's geometry against Shapely, a geometry library that knows nothing of wood."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st
from layouts import layout
from shapely import unary_union
from shapely.geometry import LineString, Polygon, box
from strategies import boards, jobs, lengths

from yieldopt.checking.geometry import Rect
from yieldopt.checking.regions import Region, wood_on_line
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Cut

HAIR = 1e-6


def polygon(board: Board) -> Polygon:
    """The board seen from face A, from its own points."""
    near = [(float(p.x), float(p.near)) for p in board.outline]
    far = [(float(p.x), float(p.far)) for p in board.outline]
    return Polygon(near + far[::-1])


def shape(thing: object) -> Polygon:
    x, y, length, width = (float(getattr(thing, n)) for n in ("x", "y", "length", "width"))
    return box(x, y, x + length, y + width)


@given(boards("b", "in"))
def test_area_of_an_outline(board: Board) -> None:
    assert float(board.area) == pytest.approx(polygon(board).area, rel=1e-9)


@given(jobs(), st.integers(0, 9))
def test_what_the_check_passes_lies_on_the_board_and_apart(job: Job, seed: int) -> None:
    plan = layout(job, seed)
    for b in plan.boards:
        wood = polygon(job.board_named[b.board]).buffer(HAIR)
        blanks = [shape(k) for k in b.blanks]
        assert all(wood.covers(k) for k in blanks)
        assert all(wood.covers(shape(o)) for o in b.offcuts)
        kerf = float(min(job.shop.kerf.crosscut, job.shop.kerf.rip))
        for i, k in enumerate(blanks):
            assert all(k.distance(other) >= kerf - HAIR for other in blanks[i + 1 :])
        for p in b.pieces:
            home = next(k for k in b.blanks if k.blank == p.blank)
            assert shape(home).buffer(HAIR).covers(shape(p))
            others = [q for q in b.pieces if q is not p and q.blank == p.blank and q.layer == p.layer]
            assert all(shape(p).distance(shape(q)) >= kerf - HAIR for q in others)


@st.composite
def rects(draw: st.DrawFn) -> Rect:
    x, y = draw(lengths("in", 0, 20)), draw(lengths("in", 0, 20))
    return Rect(x, y, x + draw(lengths("in", 0.25, 12)), y + draw(lengths("in", 0.25, 12)))


@given(rects(), rects())
def test_rectangles(a: Rect, b: Rect) -> None:
    sa, sb = (box(*map(float, (r.x0, r.y0, r.x1, r.y1))) for r in (a, b))
    assert a.overlaps(b) == (sa.intersection(sb).area > 1e-9)
    assert a.within(b) == sb.covers(sa)
    # A gap in x or in y of at least g is a gap in the larger of both.
    gap = F(1, 2)
    assert a.apart(b, gap, gap) == (
        not sa.overlaps(sb.buffer(float(gap), join_style="mitre"))
        and not sa.buffer(-1e-9).intersects(sb.buffer(float(gap) - 1e-9, join_style="mitre"))
    )


@given(boards("b", "in"), st.data())
def test_how_far_a_saw_runs_in_wood(board: Board, data: st.DataObject) -> None:
    """A hair-thin cut meets as much of the board as a line through its polygon."""
    wood, hair = polygon(board), F(1, 10_000)
    region = Region(Rect(F(0), min(p.near for p in board.outline), board.length, max(p.far for p in board.outline))).rect
    x = data.draw(lengths("in", 0.5, float(board.length) - 0.5))
    cut = Cut(1, "rough", "crosscut", x, F(-100), F(100), hair)
    line = wood_on_line(board, region, cut, generous=True)
    crossed = wood.intersection(LineString([(float(x), -100), (float(x), 100)]))
    assert line is not None
    assert float(line[0]) == pytest.approx(crossed.bounds[1], abs=1e-2)
    assert float(line[1]) == pytest.approx(crossed.bounds[3], abs=1e-2)
    y = data.draw(lengths("in", float(region.y0) + 0.1, float(region.y1) - 0.1))
    along = wood_on_line(board, region, Cut(1, "rough", "rip", y, F(-5), F(500), hair), generous=True)
    crossed = wood.intersection(box(-5, float(y), 500, float(y + hair)))
    # An edge along the cut is touched, not sawn: only what has an area is wood in the kerf.
    inside = unary_union([g for g in getattr(crossed, "geoms", [crossed]) if g.area > 1e-9])
    if along is None:
        assert inside.area < 1e-3
    else:
        assert float(along[0]) == pytest.approx(inside.bounds[0], abs=1e-3)
        assert float(along[1]) == pytest.approx(inside.bounds[2], abs=1e-3)
