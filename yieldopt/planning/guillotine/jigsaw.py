"""Layouts without waste, by joining items that share a side: for sheets that can be filled to the last corner.

Bottom up as Wang (Oper. Res. 31 (1983) 573-586) builds guillotine layouts, with no waste allowed at all. Too many blocks can
be made of many items, so some are first joined by chance until few are left (bricks), of which then every block is made. The
bricks of the largest block found are kept for the next try, the others mostly taken apart again.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from yieldopt.planning.guillotine.layout import Bare
from yieldopt.planning.guillotine.model import Deadline, Item, Sheet

# Most items that may be laid, and bricks: fewest, at first, and most, which are the bits of a machine word.
MOST_ITEMS = 200
FEWEST_BRICKS, FIRST_BRICKS, MOST_BRICKS = 8, 20, 64
# Blocks of a try that are wanted, and that there is room for; times as many or as few on average change the number of bricks,
# and how much the last try counts in that average.
BLOCKS, ROOM = 4000, 1 << 15
OFF, FRESH = 1.5, 0.1
# How much small joins come before large ones, in shared sides a mean item's area, and how much chance adds.
SMALL_FIRST, CHANCE = 10.0, 8.0
# Chance that a brick of the largest block is kept, and one beside it.
KEPT, KEPT_BESIDE = 0.7, 0.2
# Fruitless tries after which all begins anew, and tries between looks at the number of bricks.
PATIENCE, SPELL = 100, 10


@dataclass(frozen=True, slots=True)
class _Block:
    """An item, or blocks joined without waste; gross sizes. One that may be turned is kept with its length the longer side."""

    length: int
    width: int
    turns: bool
    # Of one item: its number as it is kept, and turned.
    item: tuple[int, int] | None = None
    # Of a join: "x" or "y", and the two that are joined, each turned or not.
    axis: str | None = None
    parts: tuple[tuple[_Block, bool], ...] = ()

    def singles(self) -> list[_Block]:
        """The items in it."""
        return [self] if self.item is not None else [s for part, _ in self.parts for s in part.singles()]

    def bare(self, turned: bool) -> Bare:
        """Its layout, as it is kept or turned."""
        if self.item is not None:
            return Bare(item=self.item[turned])
        (first, t1), (second, t2) = self.parts
        axis = "y" if (self.axis == "y") != turned else "x"
        return Bare(axis=axis, first=first.bare(t1 != turned), second=second.bare(t2 != turned))


def _joined(first: _Block, second: _Block, row: NDArray[np.int64], length: int, width: int) -> _Block:
    """The block of one row of the compiled joins."""
    _, t1, _, t2, side, kept = (int(v) for v in row)
    parts = ((first, t1 != kept), (second, t2 != kept))
    return _Block(length, width, first.turns and second.turns, None, "xy"[side != kept], parts)


class Jigsaw:
    """The search for a layout that leaves nothing of the sheet over; each call of `run` goes on where the last one ended."""

    def __init__(self, sheet: Sheet, items: Sequence[Item], seed: int) -> None:
        self.length, self.width = sheet.length + sheet.kerf_x, sheet.width + sheet.kerf_y
        # What a layout without waste is worth; 0 where that is not the same for all, or there can be none.
        self.worth = 0.0
        self._random = random.Random(seed)
        self._singles = _singles(sheet, items)
        # The bricks of the largest block, and which of them it uses.
        self._area, self._bricks, self._inside = 0, list[_Block](), list[bool]()
        self._many, self._fruitless, self._tries = FIRST_BRICKS, 0, 0
        self._mean = float(BLOCKS)
        values = [items[s.item[0]].value for s in self._singles if s.item is not None]
        dense = [v / (s.length * s.width) for v, s in zip(values, self._singles, strict=True)]
        area, size = sum(s.length * s.width for s in self._singles), self.length * self.width
        if area == size:
            self.worth = float(sum(values))
        elif area > size and max(dense) - min(dense) <= 1e-12 * max(dense):
            self.worth = max(dense) * size

    def run(self, deadline: Deadline) -> Bare | None:
        """A layout without waste; None where the time is over before one is found."""
        while not deadline.passed():
            found = self._try()
            if found is not None:
                return found.bare(found.length != self.length or found.width != self.width)
        return None

    def _try(self) -> _Block | None:
        bricks = self._glued(self._start())
        self._tries += 1
        if len(bricks) > MOST_BRICKS:
            self._fruitless += 1
            return None
        best, inside, many = self._largest(bricks)
        self._mean = (1 - FRESH) * self._mean + FRESH * many
        if self._tries % SPELL == 0:
            # As many bricks as make about so many blocks as are wanted.
            fewer, more = self._mean > OFF * BLOCKS, self._mean < BLOCKS / OFF
            self._many = min(MOST_BRICKS, len(self._singles), max(FEWEST_BRICKS, self._many + more - fewer))
        area = best.length * best.width
        if area == self.length * self.width:
            return best
        self._fruitless = 0 if area > self._area else self._fruitless + 1
        if area >= self._area:
            self._area, self._bricks, self._inside = area, bricks, inside
        return None

    def _start(self) -> list[_Block]:
        """All items, or the last bricks with some of them taken apart."""
        if self._fruitless > PATIENCE or not self._bricks:
            self._area, self._fruitless = 0, 0
            return list(self._singles)
        out: list[_Block] = []
        for brick, inside in zip(self._bricks, self._inside, strict=True):
            kept = self._random.random() < (KEPT if inside else KEPT_BESIDE)
            out += [brick] if kept else brick.singles()
        return out

    def _glued(self, blocks: list[_Block]) -> list[_Block]:
        """Blocks joined by chance until few enough are left."""
        from yieldopt.planning.kernels.guillotine_jigsaw import glued

        many = len(blocks)
        lengths, widths, turns = _arrays(blocks, 2 * many)
        joins = np.zeros((many, 6), np.int64)
        seed = self._random.randrange(1 << 31)
        made = glued(many, self._many, lengths, widths, turns, self.length, self.width, SMALL_FIRST, CHANCE, seed, joins)
        gone: set[int] = set()
        for k, row in enumerate(joins[:made], many):
            blocks.append(_joined(blocks[row[0]], blocks[row[2]], row, int(lengths[k]), int(widths[k])))
            gone |= {int(row[0]), int(row[2])}
        return [b for k, b in enumerate(blocks) if k not in gone]

    def _largest(self, bricks: list[_Block]) -> tuple[_Block, list[bool], int]:
        """The largest block of the bricks, which bricks it uses, and how many blocks they make."""
        from yieldopt.planning.kernels.guillotine_jigsaw import all_joins

        lengths, widths, turns = _arrays(bricks, ROOM)
        used, joins = np.zeros(ROOM, np.uint64), np.empty((ROOM, 6), np.int64)
        many = all_joins(len(bricks), lengths, widths, turns, self.length, self.width, used, joins)
        areas = lengths[:many] * widths[:many]
        at = self._random.choice(np.flatnonzero(areas == areas.max()).tolist())

        def block(k: int) -> _Block:
            if k < len(bricks):
                return bricks[k]
            row = joins[k - len(bricks)]
            return _joined(block(row[0]), block(row[2]), row, int(lengths[k]), int(widths[k]))

        return block(at), [bool(int(used[at]) >> k & 1) for k in range(len(bricks))], many


def _arrays(blocks: Sequence[_Block], room: int) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.bool_]]:
    """Lengths, widths and whether they turn, with room behind."""
    lengths, widths, turns = np.zeros(room, np.int64), np.zeros(room, np.int64), np.zeros(room, np.bool_)
    for k, b in enumerate(blocks):
        lengths[k], widths[k], turns[k] = b.length, b.width, b.turns
    return lengths, widths, turns


def _singles(sheet: Sheet, items: Sequence[Item]) -> list[_Block]:
    """A block for each copy of each item that fits; none at all where they are too many or an item has other forms than itself
    turned."""
    groups: dict[int, list[int]] = {}
    for k, item in enumerate(items):
        if item.value > 0 and item.length <= sheet.length and item.width <= sheet.width:
            groups.setdefault(-1 - k if item.group is None else item.group, []).append(k)
    length, width = sheet.length + sheet.kerf_x, sheet.width + sheet.kerf_y
    out: list[_Block] = []
    for forms in groups.values():
        at = forms[0]
        item = items[at]
        gross = item.length + sheet.kerf_x, item.width + sheet.kerf_y
        block = _Block(*gross, False, (at, at))
        if len(forms) > 1:
            other = items[forms[1]]
            same = (other.length, other.width, other.value) == (item.width, item.length, item.value)
            if len(forms) > 2 or not same or sheet.kerf_x != sheet.kerf_y:
                return []
            lying, standing = (at, forms[1]) if gross[0] >= gross[1] else (forms[1], at)
            block = _Block(max(gross), min(gross), True, (lying, standing))
        most = length * width // (gross[0] * gross[1])
        out += [block] * (most if item.copies is None else min(most, item.copies))
        if len(out) > MOST_ITEMS:
            return []
    return out
