"""Improve a layout within limits: free some neighbouring parts of it and lay their region out again.

Parts that lie side by side between the same two cuts may change places, so any of them can be brought together at the end
of their row, with the leftover of the row. That region is then laid out afresh from their items and all unused ones.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from yieldopt.planning.guillotine.grid import UNLIMITED, make_grid
from yieldopt.planning.guillotine.labels import Labels
from yieldopt.planning.guillotine.layout import Bare, packed
from yieldopt.planning.guillotine.model import Deadline, Item, Sheet
from yieldopt.planning.guillotine.plain import filled
from yieldopt.planning.guillotine.prices import price


def items_in(bare: Bare) -> list[int]:
    """The items of a layout, with repetition."""
    out, stack = [], [bare]
    while stack:
        node = stack.pop()
        if node.item is not None:
            out.append(node.item)
        if node.first is not None and node.second is not None:
            stack += [node.second, node.first]
    return out


def row_of(bare: Bare, axis: str) -> list[Bare]:
    """The parts that lie side by side along `axis`."""
    if bare.axis == axis and bare.first is not None and bare.second is not None:
        return row_of(bare.first, axis) + row_of(bare.second, axis)
    return [bare]


def joined(parts: Sequence[Bare], axis: str) -> Bare:
    """Parts side by side again, as an even tree."""
    if len(parts) == 1:
        return parts[0]
    half = len(parts) // 2
    return Bare(axis=axis, first=joined(parts[:half], axis), second=joined(parts[half:], axis))


class Improver:
    """Repeated improvement of one layout; a region once searched through is not tried again."""

    def __init__(self, sheet: Sheet, items: Sequence[Item], step: float, seed: int, most_area: float) -> None:
        self.sheet, self.items, self.step = sheet, items, step
        self.random = random.Random(seed)
        # The largest region (gross area) laid out again; less than the sheet where its table takes long to fill.
        self.most_area = most_area
        self.settled: dict[tuple[int, int, int, tuple[int, ...]], float] = {}
        self.names = {}
        self.limit: dict[int, int] = {}
        for k, item in enumerate(items):
            self.names[k] = item.group if item.group is not None else -1 - k
            self.limit[self.names[k]] = UNLIMITED if item.copies is None else item.copies

    def improve(self, bare: Bare, target_width: int, tries: int, deadline: Deadline, done: Callable[[float], bool]) -> Bare:
        """The layout after `tries` regions, or more while they improve it; `done` is told the gain and says whether to stop.

        When nothing improves, a region may lose a little (more after every fruitless spell), from the best layout on.
        """
        gain, fruitless, give = 0.0, 0, 0.0
        best, best_gain = bare, 0.0
        mean = float(np.mean([item.value for item in self.items if item.value > 0] or [0.0]))
        while tries > 0 and not deadline.passed() and give < mean:
            tries -= 1
            better = self._once(bare, target_width, deadline, give * self.random.random())
            if better is None:
                fruitless += 1
                if fruitless >= 60:
                    fruitless, give = 0, max(2 * give, 0.01 * mean)
                    bare, gain = best, best_gain
                continue
            bare, more = better
            gain += more
            if gain > best_gain + 1e-9:
                best, best_gain, fruitless, give = bare, gain, 0, 0.0
                tries += 10
                if done(best_gain):
                    break
            else:
                fruitless += 1
        return best

    def _once(self, bare: Bare, width: int, deadline: Deadline, give: float) -> tuple[Bare, float] | None:
        """Choose a part at random walking down from the root, free some of its row, and lay it out again."""
        kx, ky = self.sheet.kerf_x, self.sheet.kerf_y
        length, breadth = self.sheet.length + kx, self.sheet.width + ky
        path: list[tuple[str, list[Bare]]] = []
        node = bare
        while True:
            if node.axis is None:
                return None
            axis = node.axis
            row = row_of(node, axis)
            sizes = []
            for part in row:
                _, l2, w2 = packed(self.items, self.sheet, part)
                sizes.append(l2 if axis == "x" else w2)
            slack = (length if axis == "x" else breadth) - sum(sizes)
            inner = [k for k, part in enumerate(row) if part.axis is not None]
            if inner and self.random.random() < 0.55:
                k = self.random.choice(inner)
                path.append((axis, row[:k] + row[k + 1 :]))
                node = row[k]
                length, breadth = (sizes[k] + slack, breadth) if axis == "x" else (length, sizes[k] + slack)
                continue
            break
        many = self.random.randint(1, len(row))
        chosen = set(self.random.sample(range(len(row)), many))
        freed = [part for k, part in enumerate(row) if k in chosen]
        kept = [part for k, part in enumerate(row) if k not in chosen]
        extent = slack + sum(sizes[k] for k in chosen)
        region = (extent, breadth) if axis == "x" else (length, extent)
        if region[0] * region[1] > self.most_area:
            return None
        old = [k for part in freed for k in items_in(part)]
        outside = [k for part in kept for k in items_in(part)]
        for _, others in path:
            outside += [k for part in others for k in items_in(part)]
        worth = float(sum(self.items[k].value for k in old))
        found = self._refit(region, outside, worth - give if give else worth + self.step, width, deadline)
        if found is None:
            return None
        value, new = found
        node = joined([*kept, new], axis)
        for above, others in reversed(path):
            node = joined([*others, node], above)
        return node, value - worth

    def _refit(
        self, region: tuple[int, int], outside: list[int], target: float, width: int, deadline: Deadline
    ) -> tuple[float, Bare] | None:
        left = dict(self.limit)
        for k in outside:
            left[self.names[k]] -= 1
        key = (*region, width, tuple(left.values()))
        if self.settled.get(key, float("inf")) <= target:
            return None
        part = Sheet(
            max(1, region[0] - self.sheet.kerf_x), max(1, region[1] - self.sheet.kerf_y), self.sheet.kerf_x, self.sheet.kerf_y
        )
        items = [
            item if left[self.names[k]] >= UNLIMITED else replace(item, copies=left[self.names[k]])
            for k, item in enumerate(self.items)
        ]
        grid = make_grid(part, items, capped=True)
        self.settled[key] = target
        if len(grid.index) == 0:
            return None
        best: tuple[float, Bare] = (target - self.step, Bare())

        def note(bare: Bare, value: float) -> float:
            nonlocal best
            if value > best[0] + 1e-9:
                best = (value, bare)
            return best[0]

        everything = sum(float(grid.copies[g]) * float(grid.values[grid.group == g].max()) for g in np.unique(grid.group))
        if everything < target - 1e-6:
            return None
        priced = price(grid, note, deadline.part(0.5, 2.0), 4)
        if priced.bound > best[0] + self.step - 1e-6:
            labels = Labels(grid, priced, filled(grid, grid.values)[0], best[0] + self.step)
            lean = self.random.choice((0.0, 0.0, 0.5, 1.0))
            aim, seed = best[0] + self.step, self.random.randrange(1 << 30)
            value, bare, _ = labels.run(width, aim, self.step, deadline.part(1.0, 5.0), lean, self.step * 1e-3, seed)
            if value > 0:
                note(bare, value)
        return best if best[0] >= target - 1e-6 else None
