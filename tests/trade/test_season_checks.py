"""Season checks: sound cuttings admit those "not materially impairing the strength of a cutting" (NHLA Rules Corner, January
2020, par. 31, https://www.nhla.com/rc01022021/). A rectangle can't tell, so they count, and the estimate says what hangs on it.
The words for clear-face cuttings could not be read. The boards are made up from the rules' own numbers."""

from dataclasses import replace
from fractions import Fraction as F

from yieldopt.trade.estimate import estimate
from yieldopt.wood.lumber import Board, Defect


def test_the_estimate_says_what_hangs_on_the_checks() -> None:
    clear = Board("one", "ash", "4/4", F(1), F(120), F(8), F(1), cost=F(1))
    checked = replace(clear, defects=tuple(Defect("check", "both", F(x), F(0), F(4), F(8)) for x in range(10, 110, 12)))
    knotty = replace(clear, defects=tuple(Defect("knot", "both", F(x), F(0), F(4), F(8)) for x in range(10, 110, 12)))
    best, found = estimate(clear), estimate(checked)
    assert found.grade != best.grade
    assert any(f"it may be {best.grade}" in n and "season checks" in n for n in found.notes)
    assert not any("season checks" in n for e in (best, estimate(knotty)) for n in e.notes)


def test_checks_that_change_nothing_are_not_mentioned() -> None:
    board = Board("one", "ash", "4/4", F(1), F(120), F(8), F(1), cost=F(1))
    fine = replace(board, defects=(Defect("check", "A", F(0), F(0), F(1), F(1, 8)),))
    assert estimate(fine).grade == estimate(board).grade
    assert not any("season checks" in n for n in estimate(fine).notes)
