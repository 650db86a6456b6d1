"""The engine against enumeration of every layout of tiny sheets, and what its answers must satisfy at any size."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.planning.guillotine.oracle import best_by_enumeration, check
from yieldopt.planning.guillotine import Deadline, Defect, Item, Sheet, solve

RUNS = settings(max_examples=40)


@st.composite
def sheets(draw: st.DrawFn, defects: bool) -> Sheet:
    length, width = draw(st.integers(2, 7)), draw(st.integers(2, 6))
    found = ()
    if defects:
        one = st.builds(Defect, st.integers(-1, length - 1), st.integers(-1, width - 1), st.integers(1, 3), st.integers(1, 2))
        found = tuple(draw(st.lists(one, min_size=1, max_size=3)))
    return Sheet(length, width, draw(st.integers(0, 2)), draw(st.integers(0, 2)), found)


@st.composite
def tiny_items(draw: st.DrawFn, capped: bool, defects: int = 0) -> list[Item]:
    out = []
    for group in range(draw(st.integers(1, 3))):
        length, width = draw(st.integers(1, 5)), draw(st.integers(1, 4))
        value = draw(st.integers(1, 20))
        copies = draw(st.one_of(st.none(), st.integers(0, 2))) if capped else None
        avoid = None
        if defects and draw(st.booleans()):
            avoid = frozenset(draw(st.sets(st.integers(0, defects - 1))))
        out.append(Item(length, width, value, copies, group, avoid))
        if draw(st.booleans()):
            out.append(Item(width, length, value, copies, group, avoid))
    return out


@RUNS
@given(st.data())
def test_no_layout_of_a_clear_sheet_beats_ours(data: st.DataObject) -> None:
    sheet, items = data.draw(sheets(False)), data.draw(tiny_items(False))
    answer = solve(sheet, items)
    check(sheet, items, answer)
    assert answer.proven
    assert answer.value == best_by_enumeration(sheet, items)


@RUNS
@given(st.data())
def test_no_layout_within_the_limits_beats_ours(data: st.DataObject) -> None:
    sheet, items = data.draw(sheets(False)), data.draw(tiny_items(True))
    answer = solve(sheet, items)
    check(sheet, items, answer)
    assert answer.proven
    assert answer.value == best_by_enumeration(sheet, items)


def test_one_of_a_kind_in_a_sheet_with_room_for_two() -> None:
    """Once thought worthless by the enumeration: the halves each gave it, and both together are one too many."""
    sheet, items = Sheet(2, 4), [Item(1, 3, 9, 1, 0)]
    assert solve(sheet, items).value == best_by_enumeration(sheet, items) == 9


@RUNS
@given(st.data())
def test_no_layout_around_defects_beats_ours(data: st.DataObject) -> None:
    sheet = data.draw(sheets(True))
    items = data.draw(tiny_items(False, len(sheet.defects)))
    answer = solve(sheet, items)
    check(sheet, items, answer)
    assert answer.proven
    assert answer.value == best_by_enumeration(sheet, items)


@RUNS
@given(st.data())
def test_the_bound_holds_with_defects_and_limits(data: st.DataObject) -> None:
    sheet = data.draw(sheets(True))
    items = data.draw(tiny_items(True, len(sheet.defects)))
    answer = solve(sheet, items)
    check(sheet, items, answer)
    exact = best_by_enumeration(sheet, items)
    assert answer.value <= exact <= answer.bound + 1e-6


@pytest.mark.parametrize("seconds", [0.0, 0.05, 0.4])
@pytest.mark.parametrize("defects", [0, 4])
def test_stopped_early_it_still_has_a_layout_and_a_bound_above_any_found(seconds: float, defects: int) -> None:
    rng = random.Random(7)
    marks = tuple(Defect(rng.randrange(280), rng.randrange(180), 20, 15) for _ in range(defects))
    sheet = Sheet(300, 200, 1, 1, marks)
    items = [
        Item(length := rng.randrange(30, 120), width := rng.randrange(20, 90), length * width, rng.choice([None, 1, 2]))
        for _ in range(14)
    ]
    early, late = solve(sheet, items, Deadline(seconds)), solve(sheet, items, Deadline(1.0))
    for answer in (early, late):
        check(sheet, items, answer)
    assert max(early.value, late.value) <= min(early.bound, late.bound) + 1e-6


def test_the_same_input_gives_the_same_answer() -> None:
    items = [Item(13, 7, 90, 2), Item(9, 11, 101, 1), Item(6, 5, 29, 3), Item(17, 4, 70, 1), Item(5, 8, 41, 2)]
    assert solve(Sheet(40, 24, 1, 1), items) == solve(Sheet(40, 24, 1, 1), items)


def test_a_sheet_nothing_fits_is_left_whole() -> None:
    answer = solve(Sheet(10, 10, defects=(Defect(4, 4, 2, 2),)), [Item(9, 9, 5)])
    assert (answer.value, answer.bound, answer.counts) == (0, 0, (0,))


def test_groups_that_state_two_limits_are_refused() -> None:
    with pytest.raises(ValueError, match="group 3"):
        solve(Sheet(10, 10), [Item(3, 4, 5, 1, 3), Item(4, 3, 5, 2, 3)])


def test_values_that_are_not_whole_are_proven_too() -> None:
    items = [Item(3, 5, 1.25, 2), Item(4, 2, 0.75, 3), Item(5, 4, 2.1, 1)]
    answer = solve(Sheet(9, 8), items)
    check(Sheet(9, 8), items, answer)
    assert answer.proven
    assert answer.value == pytest.approx(best_by_enumeration(Sheet(9, 8), items))


def test_a_long_row_of_small_items_is_no_deeper_than_it_can_be_walked() -> None:
    items = [Item(1, 1, 1.0, 1500)]
    answer = solve(Sheet(2000, 1), items, 20)
    check(Sheet(2000, 1), items, answer)
    assert answer.value == 1500
