"""Where a cut can be worth making: sums of item sides in one direction, and the pairs of parts a cut leaves.

Normal patterns: Herz, IBM J. Res. Dev. 16 (1972) 462-469; Christofides & Whitlock, Oper. Res. 25 (1977) 30-44.
Reduced raster points: Scheithauer & Terno, see Scheithauer, Introduction to Cutting and Packing Optimization (2018).
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray


@njit("u1[::1](i8, i8[::1], i8[::1])", cache=True, nogil=True)
def reachable(limit: int, sizes: NDArray[np.int64], copies: NDArray[np.int64]) -> NDArray[np.uint8]:
    """`out[s]` is 1 where s in 0..limit is a sum of `sizes`, each used at most `copies` times."""
    out = np.zeros(limit + 1, np.uint8)
    used = np.zeros(limit + 1, np.int64)
    out[0] = 1
    for k in range(len(sizes)):
        size = sizes[k]
        for s in range(limit + 1):
            used[s] = 0
        for s in range(size, limit + 1):
            if out[s] == 0 and out[s - size] == 1 and used[s - size] < copies[k]:
                out[s] = 1
                used[s] = used[s - size] + 1
    return out


@njit("i4[::1](u1[::1])", cache=True, nogil=True)
def floors(marks: NDArray[np.uint8]) -> NDArray[np.int32]:
    """`out[s]` is the number of marked values <= s, less one: the index of the largest of them."""
    out = np.empty(len(marks), np.int32)
    k = -1
    for s in range(len(marks)):
        if marks[s]:
            k += 1
        out[s] = k
    return out


@njit("Tuple((i4[::1], i4[::1], i4[::1], u1[::1]))(i8[::1], i4[::1], b1)", cache=True, nogil=True)
def cut_pairs(
    sums: NDArray[np.int64], floor: NDArray[np.int32], reduced: bool
) -> tuple[NDArray[np.int32], NDArray[np.int32], NDArray[np.int32], NDArray[np.uint8]]:
    """For each extent `sums[i]` the pairs of extents (as indices a <= b) that a cut can leave of it.

    Pairs are (first, second, start) with start[i]..start[i+1] those of extent i; the last array marks the extents that
    the largest one can be cut down to. With `reduced` only those have pairs. Of the cuts that leave the same second part
    only the one with the largest first part is listed: this is the raster-point reduction, done for every extent.
    """
    n = len(sums)
    needed = np.zeros(n, np.uint8)
    if reduced:
        needed[n - 1] = 1
    else:
        needed[:] = 1
    count = np.zeros(n + 1, np.int32)
    for sweep in range(2):
        if sweep == 1:
            start = np.zeros(n + 1, np.int32)
            for i in range(n):
                start[i + 1] = start[i] + count[i]
            first = np.empty(start[n], np.int32)
            second = np.empty(start[n], np.int32)
        for i in range(n - 1, 0, -1):
            if needed[i] == 0:
                continue
            size = sums[i]
            k = 0
            before = -1
            for j in range(1, n):
                if 2 * sums[j] > size:
                    break
                b = floor[size - sums[j]]
                if b == before:
                    continue
                before = b
                if b == 0:
                    break
                a = floor[size - sums[b]]
                needed[a] = 1
                needed[b] = 1
                if sweep == 1:
                    first[start[i] + k] = min(a, b)
                    second[start[i] + k] = max(a, b)
                k += 1
            count[i] = k
    return first, second, start, needed
