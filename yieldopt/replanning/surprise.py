"""What happened since the plan was made, as the shop tells it. Lengths are `Fraction` inches in the board's frame."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from yieldopt.records.sections import Patch
from yieldopt.wood.lumber import Board, Defect, Part
from yieldopt.wood.plan import Show


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
    # Single cuts that are made, by board.
    cuts: Mapping[str, frozenset[int]] = field(default_factory=dict)
    # What of a spoiled piece is still good, by its name.
    good: Mapping[str, Patch] = field(default_factory=dict)
    # Wood that came out thinner than its board was measured.
    thin: tuple[Patch, ...] = ()
    # Boards not cut yet that were measured again.
    boards: Mapping[str, Board] = field(default_factory=dict)
    # The face that shows from now on, by piece.
    shows: Mapping[str, Show] = field(default_factory=dict)
    # Why a piece is spoiled, where the shop told more than that.
    why: Mapping[str, str] = field(default_factory=dict)
    # Finished pieces in which something came up on a face that the saw opened, and what.
    hit_done: Mapping[str, str] = field(default_factory=dict)
    # Pieces that may lie anywhere from now on, whatever pins.csv says.
    unpinned: frozenset[str] = frozenset()
    # The parts list as the designer has it now; None: as it was.
    parts: tuple[Part, ...] | None = None
    # All of it in words, for the history of the job.
    told: tuple[str, ...] = ()
