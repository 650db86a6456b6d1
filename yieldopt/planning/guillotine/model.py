"""What the engine is asked (one sheet, the items) and what it answers (a layout tree, a proven bound).

All lengths are integers in a unit of the caller's choice. x runs along the sheet's length, y along its width; a crosscut
is made at an x and loses `kerf_x`, a rip is made at a y and loses `kerf_y`. A cut may run through a defect.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from yieldopt.planning.demand.ranges import LONGEST_SIDE


@dataclass(frozen=True, slots=True)
class Defect:
    """A rectangle that items must not overlap; touching it is fine. It may stick out of the sheet."""

    x: int
    y: int
    length: int
    width: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """One rectangle to be cut."""

    length: int
    width: int
    kerf_x: int = 0
    kerf_y: int = 0
    defects: tuple[Defect, ...] = ()

    def __post_init__(self) -> None:
        if self.length <= 0 or self.width <= 0:
            raise ValueError(f"a sheet of {self.length} x {self.width}: both sides must be positive")
        if self.kerf_x < 0 or self.kerf_y < 0:
            raise ValueError(f"kerfs {self.kerf_x}, {self.kerf_y}: neither may be negative")
        sides = (self.length, self.width, self.kerf_x, self.kerf_y)
        if max(*sides, *(abs(v) for d in self.defects for v in (d.x, d.y, d.length, d.width))) > LONGEST_SIDE:
            raise ValueError(f"a sheet of {self.length} x {self.width}: sides, kerfs and defects may be {LONGEST_SIDE} at most")


@dataclass(frozen=True, slots=True)
class Item:
    """A rectangle that may be cut out, in this orientation only.

    An item that may be turned is two items with the same `group`. Items without a value above zero are never cut.
    """

    length: int
    width: int
    value: float
    # Most copies of the whole group; None for no limit. Members of one group must state the same number.
    copies: int | None = None
    # Items of one group share their copies; None for a group of its own.
    group: int | None = None
    # Indices of the sheet's defects this item must not overlap; None for all of them.
    avoid: frozenset[int] | None = None

    def __post_init__(self) -> None:
        if self.length <= 0 or self.width <= 0:
            raise ValueError(f"an item of {self.length} x {self.width}: both sides must be positive")
        if self.copies is not None and self.copies < 0:
            raise ValueError(f"{self.copies} copies: a limit can't be negative")


@dataclass(frozen=True, slots=True)
class Node:
    """A rectangle of the layout tree: it is cut in two, or it is an item, or it is left over.

    `axis` is "x" for a crosscut, "y" for a rip, None for a leaf. `at` is the near side of the kerf; in a
    trim by less than the kerf it lies before the rectangle, or the kerf's far side beyond it. `parts` are the one or
    two rectangles on either side of the kerf; a rectangle thinner than nothing (the kerf took it) is not listed.
    `item` is the index of the item that a leaf is cut for, None for leftover wood.
    """

    x: int
    y: int
    length: int
    width: int
    axis: str | None = None
    at: int = 0
    parts: tuple[Node, ...] = ()
    item: int | None = None

    def leaves(self) -> Iterator[Node]:
        """Every rectangle that is not cut further, items and leftovers, in cutting order."""
        stack = [self]
        while stack:
            node = stack.pop()
            if node.parts:
                stack.extend(reversed(node.parts))
            else:
                yield node

    def placed(self) -> Iterator[Node]:
        """The leaves that are items."""
        return (leaf for leaf in self.leaves() if leaf.item is not None)


@dataclass(frozen=True, slots=True)
class Answer:
    """The best layout found and what no guillotine layout of any number of stages can exceed."""

    layout: Node
    value: float
    bound: float
    # Copies cut of each item, in the order the items were given.
    counts: tuple[int, ...]

    @property
    def proven(self) -> bool:
        """Whether nothing better exists, to the accuracy of the sums."""
        return self.bound <= self.value + 1e-6 * max(1.0, abs(self.value))


class Deadline:
    """A point in time after which work should stop and report what it has; without seconds, never."""

    __slots__ = ("_end",)

    def __init__(self, seconds: float | None = None) -> None:
        self._end = None if seconds is None else time.monotonic() + seconds

    def left(self) -> float:
        """Seconds left, at least 0; infinite without a limit."""
        return float("inf") if self._end is None else max(0.0, self._end - time.monotonic())

    def passed(self) -> bool:
        return self.left() <= 0.0

    def part(self, share: float, most: float = float("inf")) -> Deadline:
        """A deadline after `share` of the time left, and after at most `most` seconds."""
        seconds = min(self.left() * share, most)
        return Deadline(None if seconds == float("inf") else seconds)


def counts_of(layout: Node, items: Sequence[Item]) -> tuple[int, ...]:
    """Copies of each item in `layout`."""
    counts = [0] * len(items)
    for leaf in layout.placed():
        assert leaf.item is not None
        counts[leaf.item] += 1
    return tuple(counts)
