"""Staves shared out among glue-ups, held to an enumeration of every way to share them out."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from yieldopt.planning.staves import assign, makes

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
