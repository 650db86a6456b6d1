"""The extents worth considering in each direction, with the kerf folded in.

A cut loses its kerf, except that a part flush with the far edge needs none. Giving the sheet and every item one kerf more
turns both into plain sums: `sum(l + k) <= L + k` is `sum(l) + (n - 1) k <= L`. Everything below works in these
"gross" lengths; only the layout tree and the test against defects use the real ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from yieldopt.planning.guillotine.model import Item, Sheet

# Stands for "no limit" where copies are integers.
UNLIMITED = 1 << 40


@dataclass(frozen=True, slots=True)
class Axis:
    """Extents of one direction: `sums` ascending from 0, `floor[s]` the index of the largest of them <= s, and the
    pairs of parts (`first`, `second`, from `start[i]` to `start[i + 1]`) that a cut can leave of extent i."""

    sums: NDArray[np.int64]
    floor: NDArray[np.int32]
    first: NDArray[np.int32]
    second: NDArray[np.int32]
    start: NDArray[np.int32]

    @property
    def pairs(self) -> tuple[NDArray[np.int32], NDArray[np.int32], NDArray[np.int32]]:
        return self.first, self.second, self.start


def make_axis(limit: int, sizes: Sequence[int], copies: Sequence[int], reduced: bool) -> Axis:
    """The axis for gross lengths up to `limit`, for items of gross `sizes` with at most `copies` of each.

    With `reduced`, only the extents that `limit` itself can be cut down to are kept, which is enough when no defect
    shifts the cuts.
    """
    from yieldopt.planning.kernels import guillotine_grid as kernel

    together: dict[int, int] = {}
    for size, many in zip(sizes, copies, strict=True):
        if size <= limit:
            together[size] = min(UNLIMITED, together.get(size, 0) + many)
    order = sorted(together)
    marks = kernel.reachable(limit, np.array(order, np.int64), np.array([min(together[s], limit // s) for s in order], np.int64))
    floor = kernel.floors(marks)
    sums = np.flatnonzero(marks).astype(np.int64)
    first, second, start, needed = kernel.cut_pairs(sums, floor, reduced)
    needed[0] = 1
    if needed.all():
        return Axis(sums, floor, first, second, start)
    # Closed up: extents that the largest can't be cut down to have no pairs and are in none.
    place = (np.cumsum(needed) - 1).astype(np.int32)
    keep = np.flatnonzero(needed)
    closed_start = np.zeros(len(keep) + 1, np.int32)
    closed_start[1:] = np.cumsum(np.diff(start)[keep])
    return Axis(sums[keep], place[floor], place[first], place[second], closed_start)


@dataclass(frozen=True, slots=True)
class Grid:
    """Both axes for one sheet, and the items that fit it, as arrays: gross sizes, values, copies, group numbers."""

    sheet: Sheet
    x: Axis
    y: Axis
    index: NDArray[np.int64]
    lengths: NDArray[np.int64]
    widths: NDArray[np.int64]
    values: NDArray[np.float64]
    # Most copies by group; groups are numbered from 0, UNLIMITED where there is no limit that can bind.
    copies: NDArray[np.int64]
    group: NDArray[np.int64]

    def work(self) -> int:
        """Sums made when the table of best values is filled once."""
        return len(self.x.first) * len(self.y.sums) + len(self.y.first) * len(self.x.sums)

    def single(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Best value of one item in each pair of extents, 0 where none fits."""
        out = np.zeros((len(self.x.sums), len(self.y.sums)))
        i = np.searchsorted(self.x.sums, self.lengths)
        j = np.searchsorted(self.y.sums, self.widths)
        inside = (i < out.shape[0]) & (j < out.shape[1])
        np.maximum.at(out, (i[inside], j[inside]), values[inside])
        return np.ascontiguousarray(np.maximum.accumulate(np.maximum.accumulate(out, axis=0), axis=1))


def make_grid(sheet: Sheet, items: Sequence[Item], capped: bool, reduced: bool = True) -> Grid:
    """The grid for `sheet`: items that do not fit or have no value are dropped; limits count only if `capped`."""
    gross_l, gross_w = sheet.length + sheet.kerf_x, sheet.width + sheet.kerf_y
    groups: dict[tuple[str, int], int] = {}
    copies: list[int] = []
    rows = []
    for k, item in enumerate(items):
        fits = item.length <= sheet.length and item.width <= sheet.width
        if not fits or item.value <= 0 or (capped and item.copies == 0):
            continue
        key = ("group", item.group) if item.group is not None else ("alone", k)
        most = UNLIMITED if item.copies is None or not capped else item.copies
        if key not in groups:
            groups[key] = len(copies)
            copies.append(most)
        g = groups[key]
        if copies[g] != most:
            raise ValueError(f"items of group {item.group} state different limits: {copies[g]} and {most}")
        rows.append((k, item.length + sheet.kerf_x, item.width + sheet.kerf_y, item.value, g))
    # A limit above what could ever fit is no limit: it need not be counted.
    room = [0] * len(copies)
    for _, length, width, _, g in rows:
        room[g] += (gross_l // length) * (gross_w // width)
    copies = [UNLIMITED if c >= r else c for c, r in zip(copies, room, strict=True)]
    lengths, widths, limits = [r[1] for r in rows], [r[2] for r in rows], [copies[r[4]] for r in rows]
    return Grid(
        sheet=sheet,
        x=make_axis(gross_l, lengths, limits, reduced),
        y=make_axis(gross_w, widths, limits, reduced),
        index=np.array([r[0] for r in rows], np.int64),
        lengths=np.array(lengths, np.int64),
        widths=np.array(widths, np.int64),
        values=np.array([r[3] for r in rows], np.float64),
        copies=np.array(copies, np.int64),
        group=np.array([r[4] for r in rows], np.int64),
    )
