"""Tables over pairs of extents: best value inside a rectangle, best value outside it, and one layout that attains it.

The recursion over all stages is Gilmore & Gomory, Oper. Res. 14 (1966) 1045-1074; the table of what can still be won
outside a rectangle is the bound of Hifi, Comput. Oper. Res. 24 (1997) 727-736, computed by pushing from the sheet down.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

_PAIRS = "i4[::1], i4[::1], i4[::1]"
_BAND = 256


@njit(f"void(f8[:, ::1], {_PAIRS}, {_PAIRS})", cache=True, nogil=True)
def fill(
    best: NDArray[np.float64],
    ax: NDArray[np.int32], bx: NDArray[np.int32], sx: NDArray[np.int32],
    ay: NDArray[np.int32], by: NDArray[np.int32], sy: NDArray[np.int32],
) -> None:  # fmt: skip
    """Raise `best[i, j]`, on entry the best single item in extent i by extent j, to the best layout."""
    nx, ny = best.shape
    # In bands of columns, so that what the inner loop reads stays in the cache.
    for begin in range(0, ny, _BAND):
        end = min(ny, begin + _BAND)
        for i in range(1, nx):
            row = best[i, begin:end]
            for p in range(sx[i], sx[i + 1]):
                left = best[ax[p], begin:end]
                right = best[bx[p], begin:end]
                for j in range(end - begin):
                    v = left[j] + right[j]
                    row[j] = v if v > row[j] else row[j]
            whole = best[i]
            for j in range(max(1, begin), end):
                top = whole[j]
                for p in range(sy[j], sy[j + 1]):
                    v = whole[ay[p]] + whole[by[p]]
                    top = v if v > top else top
                whole[j] = top


@njit(f"f8[:, ::1](f8[:, ::1], f8, {_PAIRS}, {_PAIRS})", cache=True, nogil=True)
def outside(
    best: NDArray[np.float64], floor: float,
    ax: NDArray[np.int32], bx: NDArray[np.int32], sx: NDArray[np.int32],
    ay: NDArray[np.int32], by: NDArray[np.int32], sy: NDArray[np.int32],
) -> NDArray[np.float64]:  # fmt: skip
    """`out[i, j]`: the most that the rest of the sheet can hold when it is cut so that extent i by extent j is a part.

    -inf where the whole stays below `floor` even so.
    """
    nx, ny = best.shape
    out = np.full((nx, ny), -np.inf)
    out[nx - 1, ny - 1] = 0.0
    alive = np.empty(ny, np.int32)
    for i in range(nx - 1, 0, -1):
        row = out[i]
        n = 0
        for j in range(ny - 1, 0, -1):
            v = row[j]
            if v + best[i, j] < floor:
                row[j] = -np.inf
                continue
            alive[n] = j
            n += 1
            for p in range(sy[j], sy[j + 1]):
                a, b = ay[p], by[p]
                row[a] = max(row[a], v + best[i, b])
                row[b] = max(row[b], v + best[i, a])
        for p in range(sx[i], sx[i + 1]):
            a, b = ax[p], bx[p]
            for k in range(n):
                j = alive[k]
                out[a, j] = max(out[a, j], row[j] + best[b, j])
                out[b, j] = max(out[b, j], row[j] + best[a, j])
    return out


@njit(f"i8[:, ::1](f8[:, ::1], f8[:, ::1], i8, i8, {_PAIRS}, {_PAIRS})", cache=True, nogil=True)
def trace(
    best: NDArray[np.float64], single: NDArray[np.float64], i: int, j: int,
    ax: NDArray[np.int32], bx: NDArray[np.int32], sx: NDArray[np.int32],
    ay: NDArray[np.int32], by: NDArray[np.int32], sy: NDArray[np.int32],
) -> NDArray[np.int64]:  # fmt: skip
    """A layout of value `best[i, j]` as rows (i, j, kind, first, second), root first.

    kind 0 is leftover, 1 the best single item, 2 a cut across the first extent, 3 across the second; first and second are
    the rows of the two parts.
    """
    rows = np.zeros((64, 5), np.int64)
    rows[0, 0], rows[0, 1] = i, j
    n = 1
    r = 0
    while r < n:
        i, j = rows[r, 0], rows[r, 1]
        v = best[i, j]
        if v > 0.0:
            if single[i, j] >= v:
                rows[r, 2] = 1
            else:
                if n + 2 > len(rows):
                    bigger = np.zeros((2 * len(rows), 5), np.int64)
                    bigger[:n] = rows[:n]
                    rows = bigger
                # The comparison repeats the sum that made the entry, so equality is exact. Even halves come last and are
                # tried first: they keep the tree shallow.
                for p in range(sx[i + 1] - 1, sx[i] - 1, -1):
                    if best[ax[p], j] + best[bx[p], j] == v:
                        rows[r, 2] = 2
                        rows[n, 0], rows[n, 1] = ax[p], j
                        rows[n + 1, 0], rows[n + 1, 1] = bx[p], j
                        break
                if rows[r, 2] == 0:
                    for p in range(sy[j + 1] - 1, sy[j] - 1, -1):
                        if best[i, ay[p]] + best[i, by[p]] == v:
                            rows[r, 2] = 3
                            rows[n, 0], rows[n, 1] = i, ay[p]
                            rows[n + 1, 0], rows[n + 1, 1] = i, by[p]
                            break
                rows[r, 3], rows[r, 4] = n, n + 1
                n += 2
        r += 1
    return rows[:n]
