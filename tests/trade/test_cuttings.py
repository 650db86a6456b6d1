"""The cuttings found on a face: always lawful (an independent geometry library), and the largest (plain enumeration)."""

from fractions import Fraction as F
from itertools import combinations

import pytest
from drawn_boards import real_boards
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from yieldopt.trade.cuttings import best_cuttings, full_width_cuttings
from yieldopt.trade.faces import clear_share, not_clear, not_sound, union_area
from yieldopt.trade.grades import Cutting, FaceRule, face_rules
from yieldopt.wood.lumber import Board, Defect, EdgePoint
from yieldopt.wood.rectangles import Rect


def rule(*sizes, least_units=F(0)):
    cuttings = tuple(Cutting(F(w), F(n)) for w, n in sizes)
    return FaceRule("test", "clear", F(0), F(0), cuttings, least_units, F(1), None, None, {}, None, (), ())


def board(length, width, rects=(), edges=()):
    defects = tuple(Defect("knot", "A", *(F(v) for v in r)) for r in rects)
    return Board("B", "ash", "4/4", F(1), F(length), F(width), F(1), defects=defects, edges=tuple(edges))


def enumerate_all(length, width, rects, sizes, number):
    """Greatest area of at most `number` disjoint lawful rectangles with whole-inch corners, by trying them all."""
    lawful = []
    for x0, x1 in combinations(range(length + 1), 2):
        for y0, y1 in combinations(range(width + 1), 2):
            fits = any(y1 - y0 >= w and x1 - x0 >= n for w, n in sizes)
            if fits and all(x1 <= x or x >= x1 or x + n <= x0 or y1 <= y or y + w <= y0 for x, y, n, w in rects):
                lawful.append((x0, x1, y0, y1, (x1 - x0) * (y1 - y0)))
    lawful.sort(key=lambda r: -r[4])
    best = 0

    def extend(chosen, area, start, left):
        nonlocal best
        best = max(best, area)
        if left == 0:
            return
        for i in range(start, len(lawful)):
            r = lawful[i]
            if area + left * r[4] <= best:
                return
            if all(r[1] <= c[0] or c[1] <= r[0] or r[3] <= c[2] or c[3] <= r[2] for c in chosen):
                extend([*chosen, r], area + r[4], i + 1, left - 1)

    extend([], 0, 0, number)
    return best


small_defects = st.lists(
    st.tuples(st.integers(0, 10), st.integers(0, 5), st.integers(1, 3), st.integers(1, 2)), min_size=0, max_size=5
)


@given(small_defects, st.sampled_from([((2, 3),), ((1, 4), (2, 2)), ((3, 3),), ((1, 1),)]))
def test_one_and_two_cuttings_are_the_largest_there_are(rects, sizes):
    found = best_cuttings(board(11, 6, rects), rule(*sizes), not_clear(board(11, 6, rects), "A"), [1, 2])
    for number in (1, 2):
        assert found[number].units * 12 == enumerate_all(11, 6, rects, sizes, number)


@given(small_defects, st.sampled_from([((2, 3),), ((1, 4), (2, 2))]))
def test_three_cuttings_lie_between_two_and_the_largest(rects, sizes):
    found = best_cuttings(board(11, 6, rects), rule(*sizes), not_clear(board(11, 6, rects), "A"), [2, 3])
    assert found[2].units <= found[3].units <= F(enumerate_all(11, 6, rects, sizes, 3), 12)
    assert len(found[3].cuttings) <= 3


@given(real_boards(), st.sampled_from(sorted(face_rules())), st.sampled_from(["A", "B"]))
def test_cuttings_are_lawful(made, grade, side):
    """Inside the outline, clear of what counts, apart from each other, of a least size, no more than allowed."""
    r = face_rules()[grade]
    counted = not_clear(made, side) if r.kind == "clear" else not_sound(made, side)
    numbers = [1, 2, 4, 7] if r.most else [None]
    found = best_cuttings(made, r, counted, numbers)
    outline = Polygon([(p.x, p.near) for p in made.outline] + [(p.x, p.far) for p in reversed(made.outline)])
    for number, face in found.items():
        assert number is None or len(face.cuttings) <= number
        shapes = [box(*(float(v) for v in (c.x, c.y, c.x + c.length, c.y + c.width))) for c in face.cuttings]
        for cutting, shape in zip(face.cuttings, shapes, strict=True):
            assert any(cutting.width >= s.width and cutting.length >= s.length for s in r.cuttings)
            assert cutting.area >= r.least_units * 12
            assert outline.buffer(1e-6).contains(shape)
            for d in counted:
                assert shape.intersection(box(*(float(v) for v in (d.x, d.y, d.x + d.length, d.y + d.width)))).area < 1e-6
        for one, two in combinations(shapes, 2):
            assert one.intersection(two).area < 1e-6
        assert face.units == sum((c.area for c in face.cuttings), F(0)) / 12


@given(real_boards(), st.sampled_from(["FAS", "No. 1 Common"]))
def test_more_cuttings_never_yield_less(made, grade):
    found = best_cuttings(made, face_rules()[grade], not_clear(made, "A"), [1, 2, 3, 4])
    assert [found[n].units for n in (1, 2, 3, 4)] == sorted(found[n].units for n in (1, 2, 3, 4))


def test_a_clear_board_is_one_cutting():
    found = best_cuttings(board(96, 6), face_rules()["FAS"], (), [1, 2])
    assert found[1].cuttings == found[2].cuttings == (Rect(F(0), F(0), F(96), F(6)),)


def test_a_board_with_more_defects_than_lines_still_yields():
    """Past the most candidate lines a regular grid is used: less may be found, never what is not there."""
    rects = [(3 * i, (i * 5) % 11, 1, 1) for i in range(60)]
    made = board(192, 12, rects)
    found = best_cuttings(made, face_rules()["No. 2A Common"], not_clear(made, "A"), [7])[7]
    assert found.units > 0
    for c in found.cuttings:
        for x, y, n, w in rects:
            assert c.x + c.length <= x or x + n <= c.x or c.y + c.width <= y or y + w <= c.y


def test_millimetre_boards_are_exact():
    mm = F(10, 254)
    made = Board("B", "ash", "27mm", 27 * mm, 2440 * mm, 153 * mm, 27 * mm)
    found = best_cuttings(made, face_rules()["FAS"], (), [1])[1]
    assert found.cuttings == (Rect(F(0), F(0), 2440 * mm, 153 * mm),)


def test_full_width_cuttings_take_the_longest_gaps():
    made = board(100, 6, [(20, 1, 2, 1), (30, 4, 5, 1), (90, 0, 1, 6)])
    found = full_width_cuttings(made, not_clear(made, "A"), 2)
    assert [(c.x, c.length) for c in found.cuttings] == [(0, 20), (35, 55)]
    assert not full_width_cuttings(board(100, 6, edges=[EdgePoint(F(0), F(0), F(6))]), (), 2).cuttings


@given(small_defects)
def test_area_of_overlapping_rectangles(rects):
    made = [Rect(*(F(v) for v in r)) for r in rects]
    merged = box(0, 0, 0, 0)
    for x, y, n, w in rects:
        merged = merged.union(box(x, y, x + n, y + w))
    assert float(union_area(made, F(2), F(9))) == pytest.approx(merged.intersection(box(2, -1, 9, 99)).area)


@given(real_boards())
def test_clear_share_is_a_share(made):
    for side in ("A", "B"):
        assert 0 <= clear_share(made, side) <= 1
