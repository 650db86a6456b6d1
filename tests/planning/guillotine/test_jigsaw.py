"""Sheets that can be filled to the last corner: cut at random from edge to edge, the parts mixed and turned, and put together."""

from __future__ import annotations

import random

import pytest

from tests.planning.guillotine.oracle import check
from yieldopt.planning.guillotine import Answer, Deadline, Item, Sheet, solve
from yieldopt.planning.guillotine.improve import items_in
from yieldopt.planning.guillotine.jigsaw import MOST_ITEMS, Jigsaw
from yieldopt.planning.guillotine.layout import grown, packed
from yieldopt.planning.guillotine.model import counts_of


def cut_up(rng: random.Random, sheet: Sheet, parts: int) -> list[tuple[int, int]]:
    """Sizes of the parts that so many cuts less one leave, the kerf of each lost."""
    out = [(sheet.length, sheet.width)]
    while len(out) < parts:
        out.sort(key=lambda p: p[0] * p[1])
        length, width = out.pop()
        if length >= width:
            at = rng.randint(2, length - sheet.kerf_x - 2)
            out += [(at, width), (length - at - sheet.kerf_x, width)]
        else:
            at = rng.randint(2, width - sheet.kerf_y - 2)
            out += [(length, at), (length, width - at - sheet.kerf_y)]
    rng.shuffle(out)
    return out


def pieces(rng: random.Random, sizes: list[tuple[int, int]], turned: bool) -> list[Item]:
    """One copy of each, worth its area; turned ones stand or lie by chance and may be laid both ways."""
    out: list[Item] = []
    for group, (length, width) in enumerate(sizes):
        both = [Item(length, width, length * width, 1, group), Item(width, length, length * width, 1, group)]
        rng.shuffle(both)
        out += both if turned and length != width else [Item(length, width, length * width, 1, group)]
    return out


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("kerf", [0, 1])
@pytest.mark.parametrize("seed", range(4))
def test_the_parts_of_a_sheet_fill_it_again(seed: int, kerf: int, turned: bool) -> None:
    rng = random.Random(seed)
    sheet = Sheet(60, 34, kerf, kerf)
    items = pieces(rng, cut_up(rng, sheet, 18), turned)
    jigsaw = Jigsaw(sheet, items, seed)
    assert jigsaw.worth == sum(i.value for k, i in enumerate(items) if k == 0 or items[k - 1].group != i.group)
    bare = jigsaw.run(Deadline(60))
    assert bare is not None
    layout = grown(sheet, items, packed(items, sheet, bare)[0])
    check(sheet, items, Answer(layout, jigsaw.worth, jigsaw.worth, counts_of(layout, items)))
    # Nothing but kerfs is lost.
    assert {node.item is None for node in layout.leaves()} == {False}


def test_the_rest_of_the_parts_may_stay_over() -> None:
    rng = random.Random(5)
    sheet = Sheet(48, 30)
    items = pieces(rng, cut_up(rng, sheet, 14) + cut_up(rng, Sheet(20, 10), 3), True)
    jigsaw = Jigsaw(sheet, items, 0)
    assert jigsaw.worth == 48 * 30
    bare = jigsaw.run(Deadline(60))
    assert bare is not None
    assert sum(items[k].value for k in items_in(bare)) == 48 * 30


def test_one_search_goes_on_where_it_ended() -> None:
    rng = random.Random(6)
    sheet = Sheet(60, 34)
    items = pieces(rng, cut_up(rng, sheet, 18), True)
    whole, parts = Jigsaw(sheet, items, 3), Jigsaw(sheet, items, 3)
    found = whole.run(Deadline(60))
    again = None
    for _ in range(100_000):
        again = parts.run(Deadline(0.01))
        if again is not None:
            break
    assert found is not None
    assert again == found


NOT_FOR_IT = {
    "too little to fill it": (Sheet(10, 10), [Item(9, 10, 90, 1)]),
    "worth more than its area beside others": (Sheet(10, 10), [Item(10, 10, 100, 1), Item(5, 5, 30, 2)]),
    "three forms of one": (Sheet(10, 10), [Item(5, 20 // k, 50, 2, 0) for k in (2, 4, 5)]),
    "turned, but kerfs that differ": (Sheet(10, 10, 1, 2), [Item(5, 4, 20, 9, 0), Item(4, 5, 20, 9, 0)]),
    "too many": (Sheet(MOST_ITEMS + 1, 1), [Item(1, 1, 1, None)]),
}


@pytest.mark.parametrize("name", NOT_FOR_IT)
def test_what_has_no_settled_worth_is_left_to_the_lists(name: str) -> None:
    sheet, items = NOT_FOR_IT[name]
    assert Jigsaw(sheet, items, 0).worth == 0
    answer = solve(sheet, items, 2)
    check(sheet, items, answer)
    assert answer.value > 0
