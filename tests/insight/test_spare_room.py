"""Clear wood beside a blank, worked by hand on one board of 60 x 8 with kerfs of 1/8 and ends of 2 in trimmed."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

from yieldopt.insight.spare_room import spare_room
from yieldopt.wood.lumber import Board, Defect, EdgePoint, Job, Part
from yieldopt.wood.plan import Blank, BoardPlan, Piece

BOARD = Board("B", "ash", "4/4", F(1), F(60), F(8), F(1), cost=F(40))
RAIL = Part("rail", 2, "ash", F(3, 4), F(15, 4), F(30))


def planned(*blanks: tuple[str, int, F, int, F]) -> BoardPlan:
    made = tuple(Blank(n, F(x), y, F(length), width, 1, (F(3, 4),), (f"rail#{n}",)) for n, x, y, length, width in blanks)
    pieces = tuple(Piece(f"rail#{b.blank}", "rail", b.blank, b.x, b.y, b.length, b.width, 1, 1, F(3, 4)) for b in made)
    return BoardPlan("B", F(40), F(0), (), made, pieces, ())


def job(*defects: Defect, board: Board = BOARD, part: Part = RAIL) -> Job:
    return Job("room", "in", (part,), (replace(board, defects=defects),))


TWO = planned(("1", 2, F(0), 31, F(3)), ("2", 2, F(4), 31, F(3)))


def test_up_to_neighbours_and_trimmed_ends() -> None:
    # 7/8 between the two after a kerf, 1 beyond the second; 25 in to the trimmed far end.
    assert spare_room(job(), TWO) == {"1": (F(7, 8), F(25)), "2": (F(15, 8), F(25))}


def test_sound_ends_count() -> None:
    assert spare_room(job(board=replace(BOARD, datum_sound=True, far_sound=True)), TWO)["1"][1] == 29


def test_defects_that_the_part_minds_with_their_margin() -> None:
    knot = Defect("knot", "A", F(40), F(1), F(2), F(1))
    assert spare_room(job(knot), TWO)["1"] == (F(7, 8), F(40) - F(1, 2) - 33)
    # The second blank is not in line with it.
    assert spare_room(job(knot), TWO)["2"][1] == 25
    assert spare_room(job(knot, part=replace(RAIL, faces=0)), TWO)["1"][1] == 25
    assert spare_room(job(knot, part=replace(RAIL, allow=frozenset({"knot"}))), TWO)["1"][1] == 25
    assert spare_room(job(replace(knot, kind="check"), part=replace(RAIL, faces=0)), TWO)["1"][1] == 7


def test_thrown_knots_and_outlines_count_for_every_part() -> None:
    loose = Defect("loose knot", "A", F(10), F(15, 2), F(1), F(1, 2))
    tolerant = replace(RAIL, allow=frozenset({"loose knot"}))
    # A blank keeps clear of what was logged; a piece that may not hold it, of the swirl beside it too.
    assert spare_room(job(loose, part=tolerant), TWO)["2"] == (F(7, 8) + F(1, 2), F(25))
    assert spare_room(job(loose), TWO)["2"] == (F(7, 8) + F(1, 4), F(25))
    tapered = replace(BOARD, edges=(EdgePoint(F(0), F(0), F(8)), EdgePoint(F(60), F(0), F(5))))
    # At 33 in the outline is at 8 - 33/20; the second blank's far edge is at 7, so it already lies beyond: nothing to spare.
    assert spare_room(job(board=tapered), planned(("1", 2, F(0), 31, F(3))))["1"][0] == 8 - F(33, 20) - 3


def test_crook_takes_its_width_first() -> None:
    crooked = replace(BOARD, crook=F(1))
    assert spare_room(job(board=crooked), TWO)["2"][0] == F(7, 8) + 1 - F(31, 60) ** 2
