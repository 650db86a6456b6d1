"""Staves shared out among glue-ups, held to an enumeration of every way to share them out."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations_with_replacement, product

from hypothesis import given
from hypothesis import strategies as st

from yieldopt.planning.demand.items import build_items
from yieldopt.planning.demand.rows import build_rows
from yieldopt.planning.finish.assemble import board_plans
from yieldopt.planning.layouts.layout import Layout, Placed
from yieldopt.planning.layouts.staves import assign, makes
from yieldopt.planning.wood.stock import whole_boards
from yieldopt.wood.lumber import Board, Job, Part

eighths = st.integers(8, 40).map(lambda n: Fraction(n, 8))


def most_by_enumeration(nets: list[Fraction], whole: Fraction, copies: int) -> int:
    best = 0
    for homes in product(range(copies + 1), repeat=len(nets)):
        sums = [sum((n for n, h in zip(nets, homes, strict=True) if h == c), Fraction(0)) for c in range(copies)]
        best = max(best, sum(s >= whole for s in sums))
    return best


@given(st.lists(eighths, min_size=1, max_size=7), st.integers(24, 80).map(lambda n: Fraction(n, 8)), st.integers(1, 3))
def test_as_many_copies_as_any_way_to_share_the_staves_out(nets: list[Fraction], whole: Fraction, copies: int) -> None:
    most = most_by_enumeration(nets, whole, copies)
    assert makes(nets, whole, copies) == most
    glueups = assign(nets, whole, copies)
    assert len(glueups) == most
    used = [k for members in glueups for k in members]
    assert len(used) == len(set(used))
    assert all(sum(nets[k] for k in members) >= whole for members in glueups)


def test_a_stave_beyond_the_width_wanted_stays_where_it_is_needed_to_share_them_out() -> None:
    """Wide enough in all without the narrowest, yet only with it do the staves make both copies."""
    board = Board("L", "ash", "4/4", Fraction(1), Fraction(200), Fraction(8), Fraction(17, 16), cost=Fraction(60))
    part = Part("shelf", 2, "ash", Fraction(3, 4), Fraction(15), Fraction(20), staves=(Fraction(3), Fraction(13, 2)))
    job = Job("shelves", "in", (part,), (board,))
    (row,) = rows = build_rows(job)
    items = build_items(job, rows)
    whole = row.need / 2
    single = {i.gives[0][1]: k for k, i in enumerate(items) if [q.stave for q in i.pieces] == [True]}
    nets = next(
        some
        for some in combinations_with_replacement(sorted(single), 6)
        if makes(some, whole, 2) == 2 and makes(some[1:], whole, 2) == 1 and sum(some[1:]) >= row.need
    )
    layout = Layout(0, tuple(Placed(single[n], Fraction(2 + 24 * k), Fraction(0)) for k, n in enumerate(nets)), ())
    _, missing = board_plans(job, rows, items, whole_boards(job), [layout])
    assert not missing
