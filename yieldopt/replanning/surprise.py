"""What happened since the plan was made, as the shop tells it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from yieldopt.lumber import Defect


@dataclass(frozen=True)
class Surprise:
    """Everything told in one go; empty where nothing happened."""

    # Names of pieces of the plan that are finished, or cut and lost.
    done: frozenset[str] = frozenset()
    spoiled: frozenset[str] = frozenset()
    # Defects that came to light, by board.
    found: Mapping[str, tuple[Defect, ...]] = field(default_factory=dict)
    # Per board the order up to which all its cuts are made.
    cut_through: Mapping[str, int] = field(default_factory=dict)
