"""The clear-face estimate: one board for each grade, and what must hold for any board."""

from dataclasses import replace
from fractions import Fraction as F

import pytest
from drawn_boards import real_boards
from hypothesis import given

from yieldopt.trade.estimate import estimate
from yieldopt.trade.grades import BELOW_GRADE, ORDER
from yieldopt.wood.lumber import Board, Defect, EdgePoint

RANK = {g: i for i, g in enumerate([*ORDER, BELOW_GRADE])}


def bar(x, width, face="both", kind="check", length=1):
    """A defect across the whole board at x."""
    return Defect(kind, face, F(x), F(0), F(length), F(width))


def ash(width, length, *defects):
    return Board("B", "ash", "4/4", F(1), F(length), F(width), F(1), defects=defects)


# 8 in x 10 ft, surface measure 7 (6 2/3): units needed 70, 56, 42, 28 and 21 for FAS, No. 1, No. 2A, 3A and 3B.
GRADED = [
    ("FAS", ash(8, 120)),
    ("F1F", ash(8, 120, bar(40, 8, "A", "stain"), bar(80, 8, "A", "stain"))),
    ("Selects", ash(5, 120, bar(40, 5, "A", "stain"))),
    # 2 cuttings of 40 in across the full width: 53 1/3 units, of three 78 2/3: at least 9 x 7 = 63, so one cutting more.
    ("No. 1 Common", ash(8, 120, bar(40, 8), bar(80, 8))),
    # Parted into 26 in lengths: three cuttings make about 52 units.
    ("No. 2A Common", ash(8, 120, *(bar(x, 8) for x in (26, 53, 80, 107)))),
    # The same in knots that are sound: clear-face cuttings fall short, sound ones don't.
    ("No. 2B Common", ash(8, 120, *(bar(x, 8, "both", "knot") for x in range(12, 120, 12)))),
    # Two cuttings of 24 in are 32 units: under 42, over 28.
    ("No. 3A Common", ash(8, 120, *(bar(x, 8) for x in (12, 37, 62, 74, 86, 98, 110)))),
    # Nothing 2 ft long.
    ("No. 3B Common", ash(8, 120, *(bar(x, 8) for x in range(12, 120, 12)))),
    # Nothing of 36 square inches.
    (BELOW_GRADE, ash(8, 120, *(bar(x, 8) for x in range(3, 120, 4)))),
]


@pytest.mark.parametrize(("grade", "board"), GRADED, ids=[g for g, _ in GRADED])
def test_a_board_of_each_grade(grade, board):
    result = estimate(board)
    assert result.grade == grade
    # Every better grade says why it is not that.
    assert [g for g, _ in result.why_not] == [*ORDER, BELOW_GRADE][: RANK[grade]]
    assert all(reason for _, reason in result.why_not)


def test_the_poor_face_is_the_one_with_the_lower_grade():
    for side in ("A", "B"):
        result = estimate(ash(8, 120, bar(40, 8, side, "stain"), bar(80, 8, side, "stain")))
        assert result.poor == side
        assert result.alone[side].grade == "No. 1 Common"
        assert result.clear == 1 - F(2, 120)
        assert result.in_cuttings == F(118, 120)


def test_at_equal_grades_the_poor_face_has_fewer_cutting_units():
    edges = [Defect("stain", side, F(0), F(0), F(120), width) for side, width in (("A", F(1, 4)), ("B", F(1, 2)))]
    result = estimate(ash(8, 120, *edges))
    assert {r.grade for r in result.alone.values()} == {"FAS"}
    assert result.poor == "B"


def test_an_unsound_reverse_counts_against_fas_but_not_against_f1f():
    result = estimate(ash(8, 120, bar(40, 8, "A"), bar(80, 8, "A")))
    assert result.alone["B"].grade == "No. 1 Common"
    assert result.grade == "F1F"


def test_least_board_with_and_without_kiln_drying():
    board = ash(F(11, 2), 120)
    assert estimate(board).grade == "FAS"
    assert estimate(board, kiln_dried=False).grade == "Selects"
    assert estimate(ash(3, 47)).grade == BELOW_GRADE
    assert estimate(ash(3, 48)).grade == "No. 1 Common"


def test_surface_measure_one_must_be_clear():
    assert estimate(ash(3, 48, bar(10, F(1, 4), "A", "stain"))).grade == "No. 2A Common"


def test_a_tapering_board_is_judged_inside_its_outline():
    wedge = replace(ash(0, 120), edges=(EdgePoint(F(0), F(0), F(9)), EdgePoint(F(120), F(1), F(7))))
    result = estimate(wedge)
    # Width 7 at a third from the narrow end: 7 x 10 / 12 = 5.83, so 6 feet, and 60 units for FAS: the 6 in left throughout.
    assert (result.surface, result.grade) == (6, "FAS")
    assert result.alone["A"].units == 60


def test_woods_with_rules_of_their_own_are_named():
    assert any("walnut" in n for n in estimate(replace(ash(8, 120), species="black walnut")).notes)
    assert not estimate(ash(8, 120)).notes


@given(real_boards())
def test_no_defect_makes_a_board_better(board):
    result = estimate(board)
    assert RANK[result.grade] >= RANK[estimate(replace(board, defects=())).grade]
    assert 0 <= result.in_cuttings <= 1
    # The better of the faces by itself can't fall short of the board but for the two-face grades.
    if result.grade not in ("F1F", "Selects", "No. 3A Common"):
        assert min(RANK[r.grade] for r in result.alone.values()) <= RANK[result.grade]


@given(real_boards())
def test_the_grade_does_not_depend_on_which_face_is_called_a(board):
    swap = {"A": "B", "B": "A", "both": "both"}
    turned = replace(board, defects=tuple(replace(d, face=swap[d.face]) for d in board.defects))
    assert estimate(turned).grade == estimate(board).grade
