"""Counting copies inside the pricing step: which combinations of counted rows a layout may still use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from yieldopt.planning.kernels.stock import Ints, Strips


@dataclass(frozen=True)
class Budget:
    """Tables for one set of counted rows; see `kernels.stock`."""

    # Kinds of strip, and the budgets left after each.
    strips: Strips
    # Rows (budget, one part of it, the other).
    splits: Ints
    # Index of the budget with every copy still to use.
    full: int


def make_budget(caps: Sequence[int], uses: Sequence[tuple[int, ...]], widths: Ints, pairs: Ints) -> Budget:
    """`caps` are the copies of each counted row; `uses[k]` what item k uses of each; `pairs` rows (item, item, ...)."""
    states = list(product(*(range(c + 1) for c in caps)))
    index = {s: k for k, s in enumerate(states)}
    pair_uses = [tuple(a + b for a, b in zip(uses[i], uses[j], strict=True)) for i, j, *_ in pairs.tolist()]
    groups = {g: k for k, g in enumerate(dict.fromkeys([*uses, *pair_uses, (0,) * len(caps)]))}
    less = np.full((len(states), len(groups)), -1, np.int32)
    for s, k in index.items():
        for g, j in groups.items():
            left = tuple(a - b for a, b in zip(s, g, strict=True))
            if min(left, default=0) >= 0:
                less[k, j] = index[left]
    item_slots = [(int(widths[k]), groups[u]) for k, u in enumerate(uses)]
    pair_slots = [
        (max(int(widths[i]), int(widths[j])), groups[u]) for (i, j, *_), u in zip(pairs.tolist(), pair_uses, strict=True)
    ]
    slots = sorted({*item_slots, *pair_slots})
    at = {s: k for k, s in enumerate(slots)}
    splits = [
        (k, index[part], index[tuple(a - b for a, b in zip(s, part, strict=True))])
        for s, k in index.items()
        for part in product(*(range(a + 1) for a in s))
    ]
    strips = Strips(
        np.array([at[s] for s in item_slots], np.int32),
        pairs,
        np.array([at[s] for s in pair_slots], np.int32),
        np.array([w for w, _ in slots], np.int32),
        np.array([g for _, g in slots], np.int32),
        less,
    )
    return Budget(strips, np.array(splits, np.int32).reshape(-1, 3), len(states) - 1)
