"""The largest cuttings that a grading rule allows on one face.

A dynamic programme over rectangles of the face: a clear one is a cutting, any other is split in two, along or across, at
every candidate line. The lines are the edges of the board and of what the rule counts as a defect, and places one least
cutting away from those. Cuttings so found can be sawn apart by through cuts. The rules ask only that they don't overlap, so
four or more cuttings set pinwise round a defect are missed: what is found is always there, and may be a little less than
there is. On tapering boards it is so by up to a quarter inch of width and what the edge leans in a foot.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any

from yieldopt.trade.grades import SQUARE_INCHES_PER_UNIT, FaceRule
from yieldopt.wood.lumber import Board
from yieldopt.wood.rectangles import Rect

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Most candidate lines across and along the board: places a least cutting away from an edge are tried while there are no
# more than SPREAD; past MOST a regular grid is used, and defects grow to its lines. (Work grows with the fifth power.)
SPREAD_X, SPREAD_Y = 28, 24
MOST_X, MOST_Y = 40, 32
# On a tapering board the edges are read at least this often and rounded inwards to this step, inches.
STATION = Fraction(12)
EDGE_STEP = Fraction(1, 4)


@dataclass(frozen=True, slots=True)
class FaceYield:
    """The cuttings found on a face."""

    cuttings: tuple[Rect, ...]

    @property
    def units(self) -> Fraction:
        """Cutting units: square inches over 12, fractions kept (NHLA Rules 2007, par. 37)."""
        return sum((c.area for c in self.cuttings), Fraction(0)) / SQUARE_INCHES_PER_UNIT


def best_cuttings(
    board: Board, rule: FaceRule, defects: Sequence[Rect], numbers: Iterable[int | None]
) -> dict[int | None, FaceYield]:
    """The largest total of cuttings of `rule`'s sizes on a face, for each allowed number of them (None: unlimited).

    `defects` is what no cutting may hold.
    """
    wanted = list(dict.fromkeys(numbers))
    if not wanted:
        return {}
    grid = _Grid(board, rule, defects)
    limited = max((n for n in wanted if n is not None), default=0)
    found: dict[int | None, FaceYield] = {}
    if limited:
        table = grid.solve(limited)
        found.update({n: FaceYield(tuple(grid.trace(table, n))) for n in wanted if n is not None})
    if None in wanted:
        found[None] = FaceYield(tuple(grid.trace(grid.solve(0), None)))
    return found


def full_width_cuttings(board: Board, defects: Sequence[Rect], most: int) -> FaceYield:
    """The longest `most` cuttings over the full width of a board without an outline, of any length."""
    if board.edges:
        return FaceYield(())
    gaps: list[Rect] = []
    start = Fraction(0)
    for x0, x1 in [*sorted((d.x, d.x + d.length) for d in defects), (board.length, board.length)]:
        if x0 > start:
            gaps.append(Rect(start, Fraction(0), min(x0, board.length) - start, board.width))
        start = max(start, x1)
    return FaceYield(tuple(sorted(sorted(gaps, key=lambda g: g.length, reverse=True)[:most])))


class _Grid:
    """The face cut up by candidate lines, with what the rule allows in each rectangle of it."""

    def __init__(self, board: Board, rule: FaceRule, defects: Sequence[Rect]) -> None:
        import numpy as np

        sizes = [n for c in rule.cuttings for n in (c.length, c.width)]
        outline = [n for p in board.outline for n in (p.x, p.near, p.far)]
        # Whole numbers of 1/scale inch: exact, and much faster than fractions.
        self.scale = math.lcm(4, *(n.denominator for n in (*sizes, *outline, *itertools.chain(*defects))))
        low = self._whole(min(p.near for p in board.outline))
        high = self._whole(max(p.far for p in board.outline))
        length = self._whole(board.length)
        spans = [tuple(map(self._whole, (d.x, d.x + d.length, d.y, d.y + d.width))) for d in defects]
        inside = [d for d in spans if d[0] < length and d[1] > 0 and d[2] < high and d[3] > low]
        edges_x = {v for d in inside for v in d[:2]}
        edges_y = {v for d in inside for v in d[2:]}
        if board.edges:
            edges_x |= {self._whole(p.x) for p in board.outline} | set(range(0, length, self._whole(STATION)))
        least_x = [self._whole(c.length) for c in rule.cuttings]
        least_y = [self._whole(c.width) for c in rule.cuttings]
        self.xs = _lines(edges_x, 0, length, least_x, SPREAD_X, MOST_X)
        channels = [self._channel(board, a, b) for a, b in itertools.pairwise(self.xs)]
        if board.edges:
            edges_y |= {v for channel in channels for v in channel}
        self.ys = _lines(edges_y, low, high, least_y, SPREAD_Y, MOST_Y)
        blocked = np.zeros((len(self.xs), len(self.ys)), dtype=np.int64)
        for i, (x0, x1) in enumerate(itertools.pairwise(self.xs)):
            near, far = channels[i]
            here = [d for d in inside if d[0] < x1 and d[1] > x0]
            for j, (y0, y1) in enumerate(itertools.pairwise(self.ys)):
                blocked[i + 1, j + 1] = y0 < near or y1 > far or any(d[2] < y1 and d[3] > y0 for d in here)
        self.count = blocked.cumsum(axis=0).cumsum(axis=1)
        # fits[c, i, j]: lines i and j lie far enough apart for cutting size c.
        self.fits_x, self.fits_y = _fits(self.xs, least_x), _fits(self.ys, least_y)
        self.x = np.array([v / self.scale for v in self.xs])
        self.y = np.array([v / self.scale for v in self.ys])
        self.least = float(rule.least_units * SQUARE_INCHES_PER_UNIT)

    def _whole(self, length: Fraction) -> int:
        return int(length * self.scale)

    def _channel(self, board: Board, x0: int, x1: int) -> tuple[int, int]:
        """What a cutting between two lines may span; on a tapering board rounded inwards to the edge step."""
        near, far = board.channel(Fraction(x0, self.scale), Fraction(x1, self.scale))
        if board.edges:
            near, far = math.ceil(near / EDGE_STEP) * EDGE_STEP, math.floor(far / EDGE_STEP) * EDGE_STEP
        return self._whole(near), self._whole(far)

    def solve(self, most: int) -> NDArray[np.float64]:
        """Greatest area in each rectangle of lines for each number of cuttings up to `most` (0: unlimited)."""
        import numpy as np

        nx, ny = len(self.x), len(self.y)
        table = np.zeros((nx * (nx - 1) // 2, ny * (ny - 1) // 2, most + 1))
        _kernel()(self.x, self.y, self.count, self.fits_x, self.fits_y, self.least, most, table)
        return table

    def trace(self, table: NDArray[np.float64], most: int | None) -> list[Rect]:
        """The cuttings behind the greatest area of the whole face."""
        found: list[Rect] = []
        stack = [(0, len(self.xs) - 1, 0, len(self.ys) - 1, 0 if most is None else most)]
        while stack:
            i, j, a, b, k = stack.pop()
            if self._value(table, i, j, a, b, k) <= 0:
                continue
            if self._is_clear(i, j, a, b):
                x, y, length, width = (
                    Fraction(v, self.scale) for v in (self.xs[i], self.ys[a], self.xs[j] - self.xs[i], self.ys[b] - self.ys[a])
                )
                found.append(Rect(x, y, length, width))
            else:
                stack.extend(self._split(table, i, j, a, b, k, most is None))
        return sorted(found)

    def _split(
        self, table: NDArray[np.float64], i: int, j: int, a: int, b: int, k: int, unlimited: bool
    ) -> list[tuple[int, int, int, int, int]]:
        target = self._value(table, i, j, a, b, k) - 1e-7
        shares = [(0, 0)] if unlimited else [(n, k - n) for n in range(k + 1)]
        for n, m in shares:
            for at in range(i + 1, j):
                if self._value(table, i, at, a, b, n) + self._value(table, at, j, a, b, m) >= target:
                    return [(i, at, a, b, n), (at, j, a, b, m)]
            for at in range(a + 1, b):
                if self._value(table, i, j, a, at, n) + self._value(table, i, j, at, b, m) >= target:
                    return [(i, j, a, at, n), (i, j, at, b, m)]
        raise AssertionError("the table of cuttings holds a value that no split gives")

    def _value(self, table: NDArray[np.float64], i: int, j: int, a: int, b: int, k: int) -> float:
        return float(table[_pair(i, j), _pair(a, b), k])

    def _is_clear(self, i: int, j: int, a: int, b: int) -> bool:
        c = self.count
        return int(c[j, b] - c[i, b] - c[j, a] + c[i, a]) == 0


def _lines(edges: set[int], low: int, high: int, sizes: Sequence[int], spread: int, most: int) -> list[int]:
    core = {low, high} | {e for e in edges if low < e < high}
    if len(core) > most:
        return sorted({low + (high - low) * i // (most - 1) for i in range(most)})
    wide = core | {e + s for e in core for d in sizes for s in (d, -d) if low < e + s < high}
    return sorted(wide if len(wide) <= spread else core)


def _fits(lines: Sequence[int], sizes: Sequence[int]) -> NDArray[np.bool_]:
    import numpy as np

    return np.array([[[b - a >= s for b in lines] for a in lines] for s in sizes], dtype=np.bool_)


def _pair(i: int, j: int) -> int:
    """Row of the table for lines i < j: pairs counted by their upper line."""
    return j * (j - 1) // 2 + i


@cache
def _kernel() -> Any:
    import numba

    return numba.njit(cache=True)(_fill)


def _fill(x: Any, y: Any, count: Any, fits_x: Any, fits_y: Any, least: float, most: int, table: Any) -> None:
    """Compiled by numba. Fills a table of zeros over (pair of x lines, pair of y lines, number of cuttings) with areas."""
    nx, ny, sizes = len(x), len(y), fits_x.shape[0]
    for j in range(1, nx):
        for i in range(j - 1, -1, -1):
            for b in range(1, ny):
                for a in range(b - 1, -1, -1):
                    area = (x[j] - x[i]) * (y[b] - y[a])
                    fit = False
                    for c in range(sizes):
                        if fits_x[c, i, j] and fits_y[c, a, b] and area >= least - 1e-9:
                            fit = True
                    if not fit:
                        continue
                    here = table[j * (j - 1) // 2 + i, b * (b - 1) // 2 + a]
                    if count[j, b] - count[i, b] - count[j, a] + count[i, a] == 0:
                        for k in range(most + 1):
                            if k > 0 or most == 0:
                                here[k] = area
                        continue
                    for at in range(i + 1, j):
                        one = table[at * (at - 1) // 2 + i, b * (b - 1) // 2 + a]
                        two = table[j * (j - 1) // 2 + at, b * (b - 1) // 2 + a]
                        for k in range(most + 1):
                            # No share of k cuttings yields more than k on either side.
                            if one[k] + two[k] > here[k]:
                                for n in range(k + 1):
                                    here[k] = max(here[k], one[n] + two[k - n])
                    for at in range(a + 1, b):
                        one = table[j * (j - 1) // 2 + i, at * (at - 1) // 2 + a]
                        two = table[j * (j - 1) // 2 + i, b * (b - 1) // 2 + at]
                        for k in range(most + 1):
                            # No share of k cuttings yields more than k on either side.
                            if one[k] + two[k] > here[k]:
                                for n in range(k + 1):
                                    here[k] = max(here[k], one[n] + two[k - n])
