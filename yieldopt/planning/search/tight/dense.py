"""Strips side by side that leave next to nothing over: all the ways to fill a width so, for sections and for ripped boards.

Seen along the grain a section is a box of one length that strips fill across; a strip of a board that is ripped first is a
box of one width that pieces fill along. Both are the same search: things of a size each, with waste of their own, whose
sizes come to the whole or nearly. All in whole units of the grid, gross (a kerf added to each size, and to the whole).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

# What something uses of each row wanted: (row, units).
Uses = tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that may lie in a box: `size` in the direction that is filled, `waste` area beside it within its strip."""

    size: int
    waste: int
    uses: Uses
    # Items end to end (or one), by index.
    items: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Filling:
    """Entries of one box, ascending by index, and the area that they leave over."""

    entries: tuple[Entry, ...]
    waste: int


@dataclass
class Spent:
    """Steps of a search: so many at most, and those taken."""

    most: int
    steps: int = 0


def fillings(
    entries: Sequence[Entry], must: Sequence[bool], whole: int, across: int, most: int, need: Sequence[float], spent: Spent
) -> Iterator[Filling]:
    """Every set of `entries` (each as often as `need` of its rows allows) with at least one of those that `must` be there,
    whose waste is `most` at most; `across` is the box's other side. Ends without a word once all steps are `spent`."""
    order = sorted(range(len(entries)), key=lambda k: (not must[k], -entries[k].size, k))
    sizes = [entries[k].size for k in order]
    # Sums that the entries from here on can come to, each any number of times: bit s is sum s.
    reach = [1] * (len(order) + 1)
    for n in range(len(order) - 1, -1, -1):
        sums, mask = reach[n + 1], (1 << (whole + 1)) - 1
        shift = sizes[n]
        while shift <= whole:
            sums |= (sums << shift) & mask
            shift *= 2
        reach[n] = sums
    left = list(need)
    chosen: list[int] = []

    def go(n: int, room: int, waste: int, has: bool) -> Iterator[Filling]:
        if chosen and has and waste + room * across <= most:
            yield Filling(tuple(entries[order[k]] for k in chosen), waste + room * across)
        spare = (most - waste) // across
        for k in range(n, len(order)):
            if not has and not must[order[k]]:
                return
            # Nothing from here on comes near enough to what is left.
            if not (reach[k] >> max(0, room - spare)) & ((1 << (min(spare, room) + 1)) - 1):
                return
            e = entries[order[k]]
            if e.size > room or waste + e.waste > most or any(left[r] < u - 1e-9 for r, u in e.uses):
                continue
            if spent.steps >= spent.most:
                return
            spent.steps += 1
            for r, u in e.uses:
                left[r] -= u
            chosen.append(k)
            yield from go(k, room - e.size, waste + e.waste, True)
            chosen.pop()
            for r, u in e.uses:
                left[r] += u

    yield from go(0, whole, 0, False)
