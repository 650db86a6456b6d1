"""Draws by chance that the standard library does not make."""

from __future__ import annotations

import math
import random


def poisson(rng: random.Random, mean: float) -> int:
    """A count with this mean, by Knuth's multiplication method (Seminumerical Algorithms, 3.4.1); for means below a hundred."""
    limit, k, p = math.exp(-mean), 0, rng.random()
    while p > limit:
        k += 1
        p *= rng.random()
    return k
