"""The label search (see the kernel) on one grid under one set of prices."""

from __future__ import annotations

import threading
from typing import Any

import numpy as np
from numpy.typing import NDArray

from yieldopt.planning.guillotine.grid import UNLIMITED, Grid
from yieldopt.planning.guillotine.layout import NOTHING, Bare
from yieldopt.planning.guillotine.model import Deadline
from yieldopt.planning.guillotine.prices import Priced

_MOST_LABELS = 3_000_000


class Labels:
    """The label search on one grid under one set of prices; memory is kept from one run to the next.

    `plain` is the table of best values without prices, for a second bound; None where that would cost more than it saves.
    No target may be lower than `least`.
    """

    def __init__(self, grid: Grid, priced: Priced, plain: NDArray[np.float64] | None, least: float) -> None:
        from yieldopt.planning.kernels import guillotine_table as kernel

        self.grid, self.priced, self.least = grid, priced, least
        self.outer = kernel.outside(priced.inner, least - priced.total - 1e-6, *grid.x.pairs, *grid.y.pairs)
        if plain is None:
            self.outer_plain = np.full(self.outer.shape, np.inf)
        else:
            self.outer_plain = kernel.outside(plain, least - 1e-6, *grid.x.pairs, *grid.y.pairs)
        self.items = self._items()
        shape = (len(grid.x.sums), len(grid.y.sums))
        self.cell_start = np.zeros(shape, np.int64)
        self.cell_count = np.zeros(shape, np.int64)
        self.room = 0

    def _items(self) -> tuple[Any, ...]:
        grid = self.grid
        bits = [int(c).bit_length() + 1 if c < UNLIMITED else 0 for c in grid.copies]
        word, shift, words = [0] * len(bits), [0] * len(bits), 1
        used = 0
        for g, many in enumerate(bits):
            if used + many > 64:
                words, used = words + 1, 0
            word[g], shift[g] = words - 1, used
            used += many
        cap = np.zeros((2, words), np.uint64)
        names = np.random.default_rng(20).integers(1, 2**63, len(bits), np.uint64)
        for g, many in enumerate(bits):
            if many:
                top = 1 << (many - 1)
                cap[0, word[g]] += np.uint64((top - 1 - int(grid.copies[g])) << shift[g])
                cap[1, word[g]] += np.uint64(top << shift[g])
            else:
                names[g] = 0
        use = np.zeros((len(grid.index), words), np.uint64)
        for row, g in enumerate(grid.group):
            if bits[g]:
                use[row, word[g]] = np.uint64(1 << shift[g])
        i, j = np.searchsorted(grid.x.sums, grid.lengths), np.searchsorted(grid.y.sums, grid.widths)
        values = grid.values - self.priced.prices[grid.group]
        return i, j, grid.values, values, use, names[grid.group], cap

    def _reserve(self, room: int) -> None:
        if room > self.room:
            words = self.items[4].shape[1]
            self.room = room
            self.value, self.worth = np.zeros(room), np.zeros(room)
            self.hashes = np.zeros(room, np.uint64)
            self.use = np.zeros((room, words), np.uint64)
            self.origin = np.zeros((room, 3), np.int32)

    def run(
        self, width: int, target: float, step: float, deadline: Deadline, lean: float = 0.0, noise: float = 0.0, seed: int = 0
    ) -> tuple[float, Bare, bool]:
        """(best value of at least `target` or -1, its layout, whether nothing was left out)."""
        from yieldopt.planning.kernels import guillotine_labels as kernel

        grid = self.grid
        self._reserve(min(_MOST_LABELS, max(20_000, width * self.cell_count.size)))
        stop = np.zeros(1, np.uint8)
        left = deadline.left()
        timer = threading.Timer(left, stop.fill, (1,)) if left < 1e9 else None
        if timer:
            timer.daemon = True
            timer.start()
        try:
            # numba's dispatcher is typed for fewer arguments than this takes.
            build: Any = kernel.build
            n, best, cut_off, _ = build(
                width, target - 1e-6, step, lean, noise, np.uint64(seed), self.priced.total, stop, *grid.x.pairs, *grid.y.pairs,
                self.priced.inner, self.outer, self.outer_plain, *self.items,
                self.value, self.worth, self.hashes, self.use, self.origin, self.cell_start, self.cell_count,
            )  # fmt: skip
        finally:
            if timer:
                timer.cancel()
        self.labels = n
        if best < 0 or self.value[best] < target - 1e-6:
            return -1.0, NOTHING, not cut_off
        return float(self.value[best]), self._bare(int(best)), not cut_off

    def _bare(self, label: int) -> Bare:
        kind, a, b = (int(v) for v in self.origin[label])
        if kind == 1:
            return Bare(item=int(self.grid.index[a]))
        return Bare(axis="x" if kind == 2 else "y", first=self._bare(a), second=self._bare(b))
