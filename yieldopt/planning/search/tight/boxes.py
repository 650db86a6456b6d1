"""Boxes: sections and ripped strips that leave next to nothing over, each with what fills it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import islice, product

from yieldopt.planning.pricing.sections import Ids
from yieldopt.planning.search.tight.dense import Entry, Filling, Spent, Uses, fillings
from yieldopt.planning.search.tight.rooms import Thing
from yieldopt.planning.tuning import Dense


@dataclass(frozen=True)
class Box:
    """A section (or ripped strip) with what fills it; `size` is its length (or width), gross."""

    size: int
    filling: Filling
    gives: Uses
    # Share of it that is waste.
    waste: float


# Size of a box, its other side, the most waste in it, and entries with whether one of them must be there.
_Listed = tuple[int, int, int, list[Entry], list[bool]]


@dataclass(frozen=True, slots=True)
class Least:
    """What a box may waste: a `share` of it, and the area `spare` at most."""

    share: float
    spare: int

    def of(self, size: int, whole: int) -> int:
        return min(self.spare, int(self.share * size * whole))


def sections(width: int, things: Sequence[Thing], ids: Ids, longest: int, least: Least) -> Iterator[_Listed]:
    """Sections as long as one strip, and what may lie in each: items, and those pairs of them (`ids`) end to end."""
    strips: list[tuple[int, int, int, Uses, tuple[int, ...]]] = [
        (t.length, t.width, t.length * t.width, t.uses, (t.item,)) for t in things if t.width <= width
    ]
    for a, b in product(things, repeat=2):
        if a.item <= b.item and not a.alone and not b.alone and ((a.item, b.item) in ids or (b.item, a.item) in ids):
            area, across = a.length * a.width + b.length * b.width, max(a.width, b.width)
            if across <= width and a.length + b.length <= longest:
                strips.append((a.length + b.length, across, area, both(a.uses, b.uses), (a.item, b.item)))
    strips.sort()
    lengths = [s[0] for s in strips]
    narrowest = min((s[1] for s in strips), default=1)
    for length in sorted({a for a in lengths if a <= longest}):
        most = least.of(length, width)
        first, last = bisect_left(lengths, length - most // narrowest), bisect_right(lengths, length)
        inside = [s for s in strips[first:last] if length * s[1] - s[2] <= most]
        entries = [Entry(across, length * across - area, uses, items) for _, across, area, uses, items in inside]
        yield length, width, most, entries, [s[0] == length for s in inside]


def ripped(length: int, width: int, things: Sequence[Thing], least: Least, alike: float) -> Iterator[_Listed]:
    """Strips of a ripped board as wide as one item, and the items that may lie in each: of this share of its width at least."""
    for across in sorted({t.width for t in things if t.width <= width}):
        inside = [t for t in things if alike * across <= t.width <= across]
        entries = [Entry(t.length, (across - t.width) * t.length, t.uses, (t.item,)) for t in inside]
        yield across, length, least.of(across, length), entries, [t.width == across for t in inside]


def both(a: Uses, b: Uses) -> Uses:
    """What two things use together."""
    total = dict(a)
    for r, u in b:
        total[r] = total.get(r, 0.0) + u
    return tuple(sorted(total.items()))


def dense(listed: Iterable[_Listed], need: Sequence[float], tuned: Dense) -> tuple[Box, ...]:
    """The boxes that waste least, no two alike in size and in what they give."""
    found: dict[tuple[int, Uses], Box] = {}
    left = tuned.steps
    for size, whole, most, entries, must in listed:
        spent = Spent(min(left, tuned.steps_of_box))
        for filling in islice(fillings(entries, must, whole, size, most, need, spent), tuned.most_of_box):
            gives = reduce(both, (e.uses for e in filling.entries))
            found.setdefault((size, gives), Box(size, filling, gives, filling.waste / (size * whole)))
        left -= spent.steps
    return tuple(sorted(found.values(), key=lambda b: (b.waste, b.size, b.gives))[:tuned.most_of_room])
