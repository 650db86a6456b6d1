"""The smallest set of things that conflict, whatever the things are: defects on a board, parts that share one.

`conflict(some)` must be a proof: True only where these alone are too many, and then for every larger set too.

An irreducible set by divide and conquer (Junker, QuickXplain, AAAI 2004: k log(n/k) tests); from there the smallest, by
least hitting sets (Ignatiev, Previti, Liffiton and Marques-Silva, Smallest MUS extraction with minimal hitting set
dualization, CP 2015).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations
from typing import TypeVar

T = TypeVar("T")
Conflict = Callable[[Sequence[T]], bool]

# A smaller set is looked for only where the irreducible one is no larger: beyond it nobody reads the list.
LARGEST_SHRUNK = 6


def smallest_conflict(things: Sequence[T], conflict: Conflict[T], most_tests: int) -> tuple[T, ...]:
    """A set of `things` that conflicts and of which nothing can be left out, in their order; the smallest there is where
    `most_tests` suffice to tell. Empty where the things do not conflict, or where nothing at all does already."""
    if not conflict(things) or conflict(()):
        return ()
    found = _irreducible((), False, tuple(range(len(things))), lambda ks: conflict([things[k] for k in sorted(ks)]))
    if 1 < len(found) <= LARGEST_SHRUNK:
        found = _shrunk(len(things), found, lambda ks: conflict([things[k] for k in sorted(ks)]), most_tests)
    return tuple(things[k] for k in sorted(found))


def _irreducible(given: tuple[int, ...], grown: bool, rest: tuple[int, ...], conflict: Conflict[int]) -> tuple[int, ...]:
    """Those of `rest` that with `given` conflict and can't do without each other; `grown`: `given` was added to since the
    last test."""
    if grown and conflict(given):
        return ()
    if len(rest) == 1:
        return rest
    half = len(rest) // 2
    low, high = rest[:half], rest[half:]
    second = _irreducible(given + low, True, high, conflict)
    first = _irreducible(given + second, bool(second), low, conflict)
    return first + second


def _shrunk(n: int, known: tuple[int, ...], conflict: Conflict[int], most_tests: int) -> tuple[int, ...]:
    """The smallest conflicting set, or `known` where no smaller one turns up within the tests.

    Whatever conflicts must hold something of all that can't be left out together; so the least set that hits all of
    these is a conflict, or it can be grown to a larger set that is none, whose rest is one more to hit.
    """
    tests = 0
    to_hit: list[frozenset[int]] = []
    while tests < most_tests:
        candidate = _least_hitting_set(to_hit, len(known) - 1)
        if candidate is None:
            return known
        tests += 1
        if conflict(candidate):
            return candidate
        kept = list(candidate)
        for k in range(n):
            if k not in candidate and tests < most_tests:
                tests += 1
                if not conflict(sorted([*kept, k])):
                    kept.append(k)
        if tests >= most_tests:
            return known
        to_hit.append(frozenset(range(n)) - frozenset(kept))
    return known


def _least_hitting_set(sets: Sequence[frozenset[int]], most: int) -> tuple[int, ...] | None:
    """A set of at most `most` numbers with one of each of `sets`, as small as there is; None where there is none."""
    numbers = sorted(frozenset().union(*sets))
    for size in range(most + 1):
        for some in combinations(numbers, size):
            if all(s.intersection(some) for s in sets):
                return some
    return None
