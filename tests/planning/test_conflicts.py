"""The smallest conflicting set, against a look at every set."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from yieldopt.planning.reasons.conflicts import smallest_conflict

# Seven things, and the sets of them that conflict (with whatever is added).
CORES = st.lists(st.sets(st.integers(0, 6), min_size=1, max_size=4), min_size=0, max_size=4)


@given(CORES)
def test_the_set_found_is_the_smallest_that_conflicts(cores: list[set[int]]) -> None:
    def conflict(some: Sequence[int]) -> bool:
        return any(core <= set(some) for core in cores)

    found = smallest_conflict(range(7), conflict, most_tests=10_000)
    sizes = [n for n in range(8) for some in combinations(range(7), n) if conflict(some)]
    assert len(found) == min(sizes, default=0)
    assert conflict(found) == bool(cores)


@given(CORES.filter(bool), st.integers(0, 12))
def test_with_few_tests_nothing_can_be_left_out_of_it_all_the_same(cores: list[set[int]], most: int) -> None:
    def conflict(some: Sequence[int]) -> bool:
        return any(core <= set(some) for core in cores)

    found = smallest_conflict(range(7), conflict, most)
    assert conflict(found)
    assert not any(conflict([k for k in found if k != gone]) for gone in found)


def test_a_thousand_things_take_few_tests() -> None:
    tests = 0

    def conflict(some: Sequence[int]) -> bool:
        nonlocal tests
        tests += 1
        return {17, 640, 998} <= set(some)

    assert smallest_conflict(range(1000), conflict, most_tests=0) == (17, 640, 998)
    assert tests < 100


def test_nothing_conflicts_where_nothing_need_be_there_for_it() -> None:
    assert smallest_conflict("abc", lambda some: True, most_tests=60) == ()
