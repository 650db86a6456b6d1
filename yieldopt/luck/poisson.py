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


def wilson(successes: int, draws: int, z: float = 1.959964) -> tuple[float, float]:
    """Between which shares the true one lies, by Wilson's score interval (Journal of the American Statistical Association 22,
    1927): with the usual `z` in 95 cases of 100. From 0 to 1 without draws."""
    if not draws:
        return 0.0, 1.0
    share, square = successes / draws, z * z
    middle = (share + square / (2 * draws)) / (1 + square / draws)
    half = z / (1 + square / draws) * math.sqrt(share * (1 - share) / draws + square / (4 * draws * draws))
    return max(0.0, middle - half), min(1.0, middle + half)
