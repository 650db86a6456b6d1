"""Moisture readings of boards, and what they say against gluing boards together.

A reading is what the board's `moisture` column holds (a column the package keeps as a note), in percent.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from yieldopt.lumber import Board
from yieldopt.plan import Plan

# Lumber for furniture, cabinets and millwork is normally dried to this range, percent (FPL-GTR-190, p. 13-14).
FURNITURE_DRY = (6.0, 8.0)
# Readings in one glue-up should lie this close together, in points: common practice, no source.
GLUE_UP_SPREAD = 2.0


@dataclass(frozen=True, slots=True)
class MoistureWarning:
    """Something to look into before boards are glued together."""

    kind: Literal["spread", "no reading", "unreadable", "not furniture-dry"]
    boards: tuple[str, ...]
    text: str

    def __str__(self) -> str:
        return self.text


def reading(board: Board) -> float | None:
    """The moisture reading in a board's `moisture` column in percent; None where empty. Raises `ValueError` if no number."""
    text = board.notes.get("moisture", "").strip()
    if not text:
        return None
    m = re.fullmatch(r"([0-9]{1,3}(?:[.,][0-9]{1,3})?)\s*(?:%|percent)?", text)
    if m is None or not float(m[1].replace(",", ".")) <= 200:
        raise ValueError(text)
    return float(m[1].replace(",", "."))


def moisture_warnings(boards: Iterable[Board], most: float = GLUE_UP_SPREAD) -> tuple[MoistureWarning, ...]:
    """What the readings of the boards of one glue-up say against gluing them together now.

    Warns where readings lie more than `most` points apart (default: common practice, no source), where some boards have
    a reading and others none, where a reading is no number, and where one lies outside 6 to 8 % (FPL-GTR-190, p. 13-14).
    """
    readings: dict[str, float] = {}
    missing: list[str] = []
    warnings: list[MoistureWarning] = []
    for board in {b.name: b for b in boards}.values():
        try:
            value = reading(board)
        except ValueError as error:
            text = f"{board.name}: moisture reading {str(error)[:40]!r} is not a percentage"
            warnings.append(MoistureWarning("unreadable", (board.name,), text))
            continue
        if value is None:
            missing.append(board.name)
        else:
            readings[board.name] = value
    if readings and missing:
        text = f"no moisture reading for {', '.join(missing)}, though the others have one"
        warnings.append(MoistureWarning("no reading", tuple(missing), text))
    if readings:
        dry, wet = min(readings, key=readings.__getitem__), max(readings, key=readings.__getitem__)
        spread = Fraction(str(readings[wet])) - Fraction(str(readings[dry]))
        if spread > Fraction(str(most)):
            text = (
                f"{dry} reads {readings[dry]:g} % and {wet} {readings[wet]:g} %: {float(spread):g} points apart, more than "
                f"{most:g} (common practice); let them come to the same moisture content before gluing"
            )
            warnings.append(MoistureWarning("spread", (dry, wet), text))
    low, high = FURNITURE_DRY
    off = tuple(name for name, value in readings.items() if not low <= value <= high)
    if off:
        listed = ", ".join(f"{n} {readings[n]:g} %" for n in off)
        text = f"outside the {low:g} to {high:g} % that furniture lumber is normally dried to: {listed}"
        warnings.append(MoistureWarning("not furniture-dry", off, text))
    return tuple(warnings)


def glue_up_warnings(plan: Plan, boards: Iterable[Board], most: float = GLUE_UP_SPREAD) -> dict[str, tuple[MoistureWarning, ...]]:
    """The warnings for each glued-up piece of a plan whose staves come from boards worth a warning: piece -> warnings."""
    known = {b.name: b for b in boards}
    sources: dict[str, dict[str, Board]] = {}
    for board in plan.boards:
        for piece in board.pieces:
            if piece.stave is not None and piece.set is not None and board.board in known:
                sources.setdefault(piece.set, {})[board.board] = known[board.board]
    found = {name: moisture_warnings(used.values(), most) for name, used in sources.items()}
    return {name: warnings for name, warnings in found.items() if warnings}
