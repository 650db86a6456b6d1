"""A sheet with defects, items without limits: branch and bound over parts of the sheet."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from yieldopt.planning.guillotine.grid import Grid, make_grid
from yieldopt.planning.guillotine.layout import NOTHING, Bare, grown
from yieldopt.planning.guillotine.model import Answer, Deadline, Defect, Item, Sheet, counts_of
from yieldopt.planning.guillotine.plain import filled, traced

# Parts opened between two looks at the clock; parts remembered at most (about 100 bytes each).
_BUDGET = 400
_MOST_PARTS = 1 << 23


def relevant(sheet: Sheet, items: Sequence[Item], index: Sequence[int]) -> tuple[list[Defect], NDArray[np.uint8]]:
    """The defects inside the sheet that some item of `index` must avoid, and which of those (row per item) avoids which."""
    kept, columns = [], []
    for d, defect in enumerate(sheet.defects):
        x2, y2 = defect.x + defect.length, defect.y + defect.width
        inside = defect.x < sheet.length and defect.y < sheet.width and x2 > 0 and y2 > 0
        avoided = [(avoid := items[k].avoid) is None or d in avoid for k in index]
        if inside and min(defect.length, defect.width) > 0 and any(avoided):
            x, y = max(0, defect.x), max(0, defect.y)
            kept.append(Defect(x, y, min(x2, sheet.length) - x, min(y2, sheet.width) - y))
            columns.append(avoided)
    table = np.array(columns, np.uint8).reshape(len(kept), len(index)).T
    return kept, np.ascontiguousarray(table)


def disjoint(rectangles: Sequence[tuple[int, int, int, int]]) -> list[tuple[int, int, int, int]]:
    """The union of rectangles (x1, y1, x2, y2) as rectangles that do not overlap."""
    out: list[tuple[int, int, int, int]] = []
    xs = sorted({x for r in rectangles for x in (r[0], r[2])})
    for x1, x2 in pairwise(xs):
        spans = sorted((r[1], r[3]) for r in rectangles if r[0] < x2 and r[2] > x1)
        reach: int | None = None
        for y1, y2 in spans:
            start = y1 if reach is None else max(y1, reach)
            if y2 > start:
                out.append((x1, start, x2, y2))
                reach = y2
    return out


class Flawed:
    """The search for one sheet and one set of values; `run` may be called again to go on."""

    def __init__(self, sheet: Sheet, items: Sequence[Item], values: Sequence[float] | None = None) -> None:
        self.sheet, self.items = sheet, items
        self.grid: Grid = make_grid(sheet, items, capped=False, reduced=False)
        index = [int(k) for k in self.grid.index]
        self.values = self.grid.values if values is None else np.array([values[k] for k in index], np.float64)
        defects, avoid = relevant(sheet, items, index)
        self.best, self.single = filled(self.grid, np.maximum(self.values, 0.0))
        kx, ky = sheet.kerf_x, sheet.kerf_y
        # No item with its kerf reaches further into a defect that all avoid than by that kerf.
        bad = [
            (d.x + kx, d.y + ky, d.x + d.length, d.y + d.width)
            for d, column in zip(defects, avoid.T, strict=True)
            if column.all() and d.length > kx and d.width > ky
        ]
        area = self.grid.lengths * self.grid.widths
        self._limits = np.array([(d.x, d.y, d.x + d.length, d.y + d.width) for d in defects], np.int64).reshape(-1, 4)
        self._fixed: tuple[Any, ...] = (
            kx,
            ky,
            float((self.values / area).max()) if len(area) else 0.0,
            self._limits,
            np.array(disjoint(bad), np.int64).reshape(-1, 4),
            avoid,
            self.grid.lengths,
            self.grid.widths,
            self.values,
        )
        self._table = np.full(1 << 14, -1, np.int64)
        self._parts = np.zeros((1 << 13, 7), np.int64)
        self._value = np.zeros((1 << 13, 2))
        self._used = 0
        self._root = self._shrunk(0, 0, sheet.length + kx, sheet.width + ky)

    def _shrunk(self, x: int, y: int, length: int, width: int) -> tuple[int, int, int, int, bool]:
        from yieldopt.planning.kernels import guillotine_flaws as kernel

        gx, gy = self.grid.x, self.grid.y
        l2, w2, touched = kernel.shrink(
            x, y, length, width, self.sheet.kerf_x, self.sheet.kerf_y, self._limits, gx.sums, gx.floor, gy.sums, gy.floor
        )
        return x, y, l2, w2, bool(touched)

    def run(self, deadline: Deadline) -> tuple[float, float]:
        """(value of the best layout known, bound) when both agree or the time is up."""
        from yieldopt.planning.kernels import guillotine_search as kernel

        x, y, length, width, touched = self._root
        gx, gy = self.grid.x, self.grid.y
        if not touched:
            exact = float(self.best[gx.floor[length], gy.floor[width]]) if length > 0 and width > 0 else 0.0
            return exact, exact
        root = np.array([x, y, length, width], np.int64)
        while True:
            # numba's dispatcher is typed for fewer arguments than this takes.
            search: Any = kernel.search
            self._used, status = search(
                _BUDGET, self._table, self._parts, self._value, self._used, root,
                *self._fixed, gx.sums, gx.floor, gy.sums, gy.floor, self.best,
            )  # fmt: skip
            if status == 2 and not self._enlarge():
                break
            if status in (0, 3) or deadline.passed():
                break
        return float(self._value[0, 0]), float(self._value[0, 1])

    def _enlarge(self) -> bool:
        from yieldopt.planning.kernels import guillotine_flaws as kernel

        n = len(self._parts)
        if n >= _MOST_PARTS:
            return False
        parts, value = np.zeros((2 * n, 7), np.int64), np.zeros((2 * n, 2))
        parts[:n], value[:n] = self._parts, self._value
        self._parts, self._value = parts, value
        self._table = np.full(2 * len(self._table), -1, np.int64)
        kernel.rehash(self._table, parts, self._used)
        return True

    def bare(self) -> Bare:
        """The best layout known."""
        x, y, length, width, touched = self._root
        return self._bare(x, y, length, width, touched)

    def _bare(self, x: int, y: int, length: int, width: int, touched: bool) -> Bare:
        from yieldopt.planning.kernels import guillotine_flaws as kernel

        if length <= 0 or width <= 0:
            return NOTHING
        if not touched:
            i, j = int(self.grid.x.floor[length]), int(self.grid.y.floor[width])
            return traced(self.grid, self.values, self.best, self.single, i, j)
        _, k = kernel.find(self._table, self._parts, x, y, length, width)
        if k < 0 or self._parts[k, 4] == 0:
            return NOTHING
        kind, at = int(self._parts[k, 4]), int(self._parts[k, 5])
        if kind == 1:
            return Bare(item=int(self.grid.index[at]))
        if kind == 2:
            first, second = (x, y, at - x, width), (at, y, x + length - at, width)
        else:
            first, second = (x, y, length, at - y), (x, at, length, y + width - at)
        size = first[2] if kind == 2 else first[3]
        a, b = (self._bare(*self._shrunk(*part)) for part in (first, second))
        return Bare(axis="x" if kind == 2 else "y", at=size, first=a, second=b)


def settled(items: Sequence[Item], sheet: Sheet, bare: Bare) -> Bare:
    """`bare` with its `at` filled in below clean parts, where the table's trees leave it open (0)."""
    from yieldopt.planning.guillotine.layout import packed

    if bare.axis is None or bare.first is None or bare.second is None:
        return bare
    if bare.at == 0:
        return packed(items, sheet, bare)[0]
    a, b = (settled(items, sheet, part) for part in (bare.first, bare.second))
    return Bare(axis=bare.axis, at=bare.at, first=a, second=b)


def solve_flawed(sheet: Sheet, items: Sequence[Item], deadline: Deadline) -> Answer:
    """The best layout of any number of stages on a sheet with defects, ignoring limits on copies.

    Exact when `deadline` leaves the time; else the best layout found and the bound reached.
    """
    search = Flawed(sheet, items)
    value, bound = search.run(deadline)
    layout = grown(sheet, items, settled(items, sheet, search.bare()))
    return Answer(layout, value, max(bound, value), counts_of(layout, items))
