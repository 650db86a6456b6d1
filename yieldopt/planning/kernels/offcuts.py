"""The offcut strip in a stack: kept where rows next to each other are clear, at least so many, at so much a row.

`sections._grow_offcuts` is the same recurrence for many starts at once, without the places where strips began.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

# Worth of what can't be, far below any worth.
NEVER = -(1 << 50)


class Rising(NamedTuple):
    """Offcuts still growing, for one section: worth[s, y] is that of the best stack within budget s that ends at row y in a
    clear strip, began[s, y] the row where that strip began."""

    worth: npt.NDArray[np.int64]
    began: npt.NDArray[np.int64]


@njit(cache=True, nogil=True)
def no_offcuts(n_budgets, top):
    return Rising(np.full((n_budgets, top + 1), NEVER, np.int64), np.zeros((n_budgets, top + 1), np.int64))


@njit(cache=True, nogil=True)
def grow_offcut(rising, worth, s, y, run, value, offcuts):
    """Row y is clear, the last of `run` such rows, each worth `value`: the strip goes on, or one of the fewest rows ends
    here. worth[s, y] is that of the best stack."""
    rising.worth[s, y] = rising.worth[s, y - 1] + value
    rising.began[s, y] = rising.began[s, y - 1]
    if run >= offcuts.fewest:
        begun = worth[s, y - offcuts.fewest] + value * (offcuts.fewest + offcuts.granted)
        if begun > rising.worth[s, y]:
            rising.worth[s, y] = begun
            rising.began[s, y] = y - offcuts.fewest


@njit(cache=True, nogil=True)
def close_offcut(rising, worth, s, y, offcuts):
    """Rows of the strip, its kerf included, where the stack up to row y is best with an offcut on top; else 0."""
    below = y - offcuts.kerf
    if below >= 0 and rising.worth[s, below] > worth[s, y]:
        worth[s, y] = rising.worth[s, below]
        return y - rising.began[s, below]
    return 0
