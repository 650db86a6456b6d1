"""What a run of the checks draws afresh: `YIELDOPT_SEED` says from what; without it every run is the same."""

from __future__ import annotations

import os
import random
from collections.abc import Sequence

SEED = os.environ.get("YIELDOPT_SEED", "")


def some_of(runs: Sequence[int], many: int, name: str) -> list[int]:
    """So many of a long test's `runs`, others for each seed; none without a seed."""
    return sorted(random.Random(f"{name} {SEED}").sample(runs, many)) if SEED else []
