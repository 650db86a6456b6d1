"""Items of one footprint that stand in for each other on a stock: at given prices only the best of them need be priced.

One item stands in for another of the same exact size where it must keep clear of no more and may share a strip with all
that the other may. Then whatever layout uses the other can use it instead, so that leaving out the one worth less changes
no best layout. Layers make many items of few footprints.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yieldopt.planning.kernels.stock import Ints
from yieldopt.planning.wood.cells import Cells

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Rivals:
    """Rows (item, item that can stand in for it), places in the stock's items."""

    rows: Ints

    def only(self, wanted: npt.NDArray[np.bool_]) -> Rivals:
        """The same among some of the items, in their places among those."""
        place = np.cumsum(wanted, dtype=np.int32) - 1
        return Rivals(place[self.rows[wanted[self.rows].all(axis=1)]])

    def beaten(self, money: Floats, uses: Ints) -> npt.NDArray[np.bool_]:
        """Items for which another, worth no less (and listed first where it is worth as much), can stand in; `uses[k]` is
        what item k uses of each counted row, of which the other may use no more."""
        out = np.zeros(len(money), np.bool_)
        a, b = self.rows[:, 0], self.rows[:, 1]
        ahead = (uses[b] < uses[a]).any(axis=1) | (b < a)
        better = (money[b] > money[a]) | ((money[b] == money[a]) & ahead)
        out[a[better & (uses[b] <= uses[a]).all(axis=1)]] = True
        return out


def find_rivals(cells: Cells, pairs: Ints) -> Rivals:
    """Who can stand in for whom, where `pairs` are those that may share a strip."""
    n = len(cells.items)
    g = cells.ground
    blocks = [frozenset(map(tuple, g.blocks[g.block_start[k] : g.block_start[k + 1]].tolist())) for k in range(n)]
    before: list[set[int]] = [set() for _ in range(n)]
    after: list[set[int]] = [set() for _ in range(n)]
    for i, j, *_ in pairs.tolist():
        after[i].add(j)
        before[j].add(i)
    like: dict[tuple[object, ...], list[int]] = {}
    for k in range(n):
        size = (int(g.length_class[k]), int(g.item_length[k]), int(g.item_width[k]), float(cells.true_width[k]))
        like.setdefault(size, []).append(k)

    def stands_in(b: int, a: int) -> bool:
        return blocks[b] <= blocks[a] and after[a] <= after[b] and before[a] <= before[b]

    return Rivals(_rows([(a, b) for same in like.values() for a in same for b in same if a != b and stands_in(b, a)]))


def _rows(found: Sequence[tuple[int, int]]) -> Ints:
    return np.array(found, np.int32).reshape(-1, 2)
