"""Boards built from the grading rules' own words, to see that each sentence is followed. Every board here is invented; the words
and figures are those cited. (Boards that a source itself grades are in `tests/published/test_grading.py`: there are two.)"""

from fractions import Fraction as F

import pytest

from yieldopt.trade import limits
from yieldopt.trade.cuttings import full_width_cuttings
from yieldopt.trade.estimate import estimate
from yieldopt.trade.faces import not_clear
from yieldopt.wood.lumber import Board, Defect


def knot(x, y, length, width, face="A", kind="knot"):
    return Defect(kind, face, F(x), F(y), F(length), F(width))


def ash(width, length, *defects):
    return Board("B", "ash", "4/4", F(1), F(length), F(width), F(1), defects=defects)


def pieces(*clear, gap):
    """8 in by 12 ft, surface measure 8, clear over the full width in stretches of these lengths, parted by bars of unsound wood;
    what is left over is unsound too."""
    bars, x = [], F(0)
    for length in clear:
        x += length
        width = min(gap, 144 - x)
        if width > 0:
            bars.append(knot(x, 0, width, 8, "both", "check"))
        x += gap
    if x < 144:
        bars.append(knot(x, 0, 144 - x, 8, "both", "check"))
    return ash(8, 144, *bars)


# Chart: units needed at surface measure 8, in at most so many cuttings of at least such a size. Full width, so that
# units = 8 x clear length in feet; first just enough, then an eighth of an inch less.
@pytest.mark.parametrize(
    ("grade", "clear", "gap"),
    [
        # 8 x 10 = 80 units in 2 cuttings, each 4 in x 5 ft or more: 10 ft clear in all.
        ("FAS", (F(60), F(60)), F(24)),
        # 8 x 8 = 64 units in 3 cuttings, each 4 in x 2 ft or more: 8 ft clear in all.
        ("No. 1 Common", (F(32), F(32), F(32)), F(24)),
        # 8 x 6 = 48 units in 4 cuttings, each 3 in x 2 ft or more: 6 ft clear in all.
        ("No. 2A Common", (F(36), F(36)), F(36)),
    ],
)
def test_just_enough_clear_wood_makes_the_grade_and_an_eighth_less_does_not(grade, clear, gap):
    assert estimate(pieces(*clear, gap=gap)).grade == grade
    shorter = (*clear[:-1], clear[-1] - F(1, 8))
    result = estimate(pieces(*shorter, gap=gap + F(1, 16)))
    assert result.grade != grade
    assert grade in dict(result.why_not)


def test_ninety_seven_percent_rule():
    """NHLA Rules 2007, par. 37, and the chart: surface measure 6 to 12, two full-width cuttings of any length, SM x 11.64
    units. Of a 6 in x 16 ft board parted by a row of knots 3 ft from its end, 36 in is too short for a cutting by size."""
    board = ash(6, 192, *(knot(36, 2 * i, 2, 2, "both") for i in range(3)))
    result = estimate(board)
    assert (result.surface, result.grade) == (8, "FAS")
    assert result.alone["A"].units == 95
    assert result.alone["A"].needed == F("11.64") * 8
    found = full_width_cuttings(ash(6, 192, knot(36, 0, 6, 6, "both")), not_clear(ash(6, 192, knot(36, 0, 6, 6)), "A"), 2)
    assert found.units == 93
    assert found.units < F("11.64") * 8


def test_faces_differ():
    """AHEC; NHLA Ask the Chief (2019 Rules): FAS on the better face and No. 1 Common on the poor one is F1F; a board under
    6 in wide is Selects."""
    poor = [knot(x, 3, 2, 2) for x in (20, 50, 90)]
    wide = ash(8, 120, *poor)
    assert estimate(wide).grade == "F1F"
    assert estimate(wide).poor == "A"
    assert estimate(ash(5, 120, *poor[:1])).grade == "Selects"


@pytest.mark.parametrize(
    ("defect", "said"),
    [
        # Chart: pith in inches not over surface measure in feet.
        (knot(30, 7, 9, F(1, 4), "both", "pith"), "pith"),
        # Par. 57: wane on an edge not over half the length.
        (knot(0, 0, 80, F(1, 4), "A", "wane"), "wane"),
        # Par. 60: average diameter not over a third of the surface measure, outside the first foot.
        (knot(60, 0, 4, 2, "both", "loose knot"), "wider on average"),
        # Chart: splits not over twice the surface measure or 12 in, whichever is more.
        (knot(0, 4, 18, F(1, 16), "both", "split"), "splits"),
        # Par. 59: the first foot at least half clear, and (with the chart) not over a quarter unsound.
        (knot(0, 0, 10, 6, "A", "bark"), "last foot"),
    ],
)
def test_defect_limits_of_fas(defect, said):
    """2019 Rules as quoted in NHLA's articles, and the chart."""
    board = ash(8, 144, defect)
    assert any(said in r for r in limits.fas(board, "A", 8))
    assert not limits.fas(ash(8, 144), "A", 8)
    result = estimate(board)
    assert result.grade != "FAS"
    assert said in dict(result.why_not)["FAS"]


def test_a_large_knot_inside_the_first_foot_is_no_breach():
    """Par. 60 excepts the first lineal foot."""
    assert not any("average" in r for r in limits.fas(ash(8, 144, knot(2, 0, 4, 2)), "A", 8))


def test_limits_of_the_other_grades():
    """Par. 64 (F1F wane: widths together not over a third, either not over half the length), chart (Selects), par. 72
    (No. 1 Common: pith not over half the length)."""
    wane = (knot(0, 0, 20, 2, "A", "wane"), knot(50, 7, 20, 1, "A", "wane"))
    assert limits.f1f_poor_face(ash(8, 144, *wane), "A")
    assert not limits.f1f_poor_face(ash(8, 144, wane[1]), "A")
    assert limits.f1f_poor_face(ash(8, 144, knot(0, 0, 80, F(1, 4), "A", "wane")), "A")
    # 4- and 5-in boards in Selects: a third of the width or half the length.
    assert not limits.selects(ash(5, 144, knot(0, 0, 80, 1, "A", "wane")), "A")
    assert limits.selects(ash(5, 144, knot(0, 0, 80, 2, "A", "wane")), "A")
    assert limits.no_1_common(ash(8, 144, knot(0, 4, 80, F(1, 4), "both", "pith")), "A")
    assert not limits.no_1_common(ash(8, 144, knot(0, 4, 60, F(1, 4), "both", "pith")), "A")


def test_sapwood_and_streaks_are_not_counted():
    """Hardwood lumber grades explained, part 3 (sapeleoutlet.com); Timber Trades Journal, Grading guidance, 2008 (cherry)."""
    board = ash(8, 144, knot(0, 0, 144, 2, "both", "sapwood"), knot(20, 3, 80, 1, "both", "streak"))
    assert estimate(board).grade == "FAS"
    assert estimate(board).clear == 1
