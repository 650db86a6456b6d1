"""Moisture readings of boards that are to be glued together."""

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yieldopt.trade.readings import dry_enough, glue_up_warnings, moisture_warnings, readings
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import BoardPlan, Piece, Plan, Totals
from yieldopt.wood.work import Room


def board(name, moisture=None):
    notes = {} if moisture is None else {"moisture": moisture}
    return Board(name, "ash", "4/4", F(1), F(96), F(8), F(1), notes=notes)


def kinds(*boards, most=2.0):
    return [w.kind for w in moisture_warnings(boards, most=most)]


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("7", (7.0,)),
        ("7.5 %", (7.5,)),
        (" 7,5% ", (7.5,)),
        ("12 percent", (12.0,)),
        ("8; 9.5 %;", (8.0, 9.5)),
        ("", ()),
        (" ; ", ()),
    ],
)
def test_readings(text, values):
    assert readings(board("A", text)) == values


@pytest.mark.parametrize("text", ["dry", "7-8", "-3", "1e9", "999", "7 % %", "nan", "٧"])
def test_what_is_no_reading(text):
    warning = moisture_warnings([board("A", text)])[0]
    assert (warning.kind, warning.boards) == ("unreadable", ("A",))
    assert text in str(warning)


def test_readings_that_lie_apart():
    assert kinds(board("A", "6"), board("B", "8")) == []
    assert kinds(board("A", "6"), board("B", "8"), most=1.9) == ["spread"]
    warning = moisture_warnings([board("A", "6"), board("B", "8.1 %")])[0]
    assert warning.boards == ("A", "B")
    assert str(warning) == (
        "A reads 6 % and B 8.1 %: 2.1 points apart, more than 2 (common practice); "
        "let them come to the same moisture content before gluing"
    )


def test_several_readings_of_a_board_all_count():
    assert kinds(board("A", "6; 7"), board("B", "8")) == []
    assert moisture_warnings([board("A", "7; 8"), board("B", "6; 5")])[0].boards == ("B", "A")
    alone = moisture_warnings([board("A", "6; 8.5"), board("B", "7")])
    assert (alone[0].kind, alone[0].boards) == ("spread", ("A",))
    assert str(alone[0]).startswith("A reads 6 % in one place and 8.5 % in another: 2.5 points apart")
    assert str(alone[1]).endswith("dried to: A 8.5 %")


def test_tenths_are_compared_as_typed():
    """7.1 and 9.1 are two points apart, whatever binary fractions make of it."""
    assert "spread" not in kinds(board("A", "7.1"), board("B", "9.1"))


def test_some_boards_without_a_reading():
    assert kinds(board("A", "7"), board("B")) == ["no reading"]
    assert kinds(board("A"), board("B")) == []


def test_boards_that_are_not_dry_enough_for_furniture():
    """6 to 8 %: Wood Handbook, FPL-GTR-190, p. 13-14."""
    warning = moisture_warnings([board("A", "11"), board("B", "10"), board("C", "12")])[0]
    assert (warning.kind, warning.boards) == ("not furniture-dry", ("A", "B", "C"))


def test_a_rooms_humidity_gives_the_band():
    """Wood Handbook, FPL-GTR-282, table 4-2, at 70 F: 50 % humidity 9.2, 60 % 11.0."""
    damp = Room((F(50), F(60)))
    assert dry_enough(damp)[:2] == (9.2, 11.0)
    boards = [board("A", "9.5"), board("B", "11")]
    assert [w.kind for w in moisture_warnings(boards)] == ["not furniture-dry"]
    assert moisture_warnings(boards, damp) == ()
    dry = moisture_warnings([board("A", "7"), board("B", "8")], damp)[0]
    assert str(dry) == "outside the 9.2 to 11 % that wood comes to in your room, at 50 to 60 % humidity: A 7 %, B 8 %"


@given(st.lists(st.integers(0, 200), min_size=1, max_size=6), st.integers(0, 50))
def test_spread_is_warned_of_exactly_when_it_is_there(tenths, most):
    boards = [board(f"B{i}", f"{t / 10}") for i, t in enumerate(tenths)]
    assert ("spread" in kinds(*boards, most=most / 10)) == (max(tenths) - min(tenths) > most)


def test_only_the_boards_of_one_glue_up_are_compared():
    def stave(name, k):
        return Piece(f"{name}/{k}", name.split("#")[0], "b", F(0), F(0), F(30), F(3), 1, 1, F(1), set=name, stave=k)

    def cut(name, *pieces):
        return BoardPlan(name, F(0), F(0), pieces=pieces)

    def plan_of(*cuts):
        return Plan("j", "in", cuts, (), Totals(0.0, None, None, 0.0, len(cuts), 0.0))

    boards = [board("A", "6"), board("B", "9"), board("C", "9")]
    plan = plan_of(cut("A", stave("top#1", 1)), cut("B", stave("side#1", 1)), cut("C", stave("side#1", 2)))
    assert not [w for w in glue_up_warnings(plan, boards).get("side#1", ()) if w.kind == "spread"]
    mixed = plan_of(cut("A", stave("top#1", 1)), cut("B", stave("top#1", 2)))
    assert [w.kind for w in glue_up_warnings(mixed, boards)["top#1"]] == ["spread", "not furniture-dry"]
    assert glue_up_warnings(plan_of(), boards) == {}
