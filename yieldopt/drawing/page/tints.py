"""Tints and patterns: one of each for every set, red for what is dangerous or bad. Both stay apart when printed in grey."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from yieldopt.wood.plan import Plan

# Dark enough to stand out from paper and from every tint, at least 4.5 : 1 (W3C, WCAG 2.2, success criterion 1.4.3).
RED = "#a00a0a"
# Light enough that black lettering on them keeps 7 : 1 (the same, 1.4.6). No pink: red says something else.
TINTS = ("#cfe3f5", "#fbe6b8", "#d6efcd", "#e7d8f2", "#c9eeea", "#f3dcc6", "#e6e6bf", "#dbe0ea")


class Look(NamedTuple):
    """How a set is drawn: its tint, and the strokes over it as angle in degrees and gap in points."""

    tint: str
    angle: float
    gap: float


PATTERNS = ((0.0, 4.0), (90.0, 4.0), (30.0, 4.5), (-30.0, 4.5), (0.0, 8.0), (90.0, 8.0), (60.0, 7.0))


def set_looks(plan: Plan) -> Mapping[str, Look]:
    """The look of every set by its name, in the order in which the plan names them; no two alike before all are used."""
    names = dict.fromkeys(p.set for _, p in plan.pieces() if p.set)
    return {name: Look(TINTS[n % len(TINTS)], *PATTERNS[(n + n // len(TINTS)) % len(PATTERNS)]) for n, name in enumerate(names)}
