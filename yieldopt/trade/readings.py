"""Moisture readings of boards, and what they say against gluing boards together.

Readings are what the board's `moisture` column holds (a column the package keeps as a note), in percent, parted by `;`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from yieldopt.trade.moisture import equilibrium
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Plan
from yieldopt.wood.work import Room

# Lumber for furniture, cabinets and millwork is normally dried to this range, percent (FPL-GTR-190, p. 13-14).
FURNITURE_DRY = (6.0, 8.0)
# Rooms are taken to be this warm, in degrees Fahrenheit; 10 degrees more or less change the band by some 0.1 to 0.3 of a point.
ROOM_FAHRENHEIT = 70.0
# Readings in one glue-up should lie this close together, in points: common practice, no source.
GLUE_UP_SPREAD = 2.0
ANYWHERE = Room()


@dataclass(frozen=True, slots=True)
class MoistureWarning:
    """Something to look into before boards are glued together."""

    kind: Literal["spread", "no reading", "unreadable", "not furniture-dry"]
    boards: tuple[str, ...]
    text: str

    def __str__(self) -> str:
        return self.text


def readings(board: Board) -> tuple[float, ...]:
    """The moisture readings in a board's `moisture` column, parted by `;`, in percent; none where it is empty.

    Raises `ValueError` if one is no number.
    """
    return tuple(_reading(text) for text in board.notes.get("moisture", "").split(";") if text.strip())


def _reading(text: str) -> float:
    m = re.fullmatch(r"([0-9]{1,3}(?:[.,][0-9]{1,6})?)\s*(?:%|percent)?", text.strip())
    if m is None or not float(m[1].replace(",", ".")) <= 250:
        raise ValueError(text.strip())
    return float(m[1].replace(",", "."))


def dry_enough(room: Room = ANYWHERE) -> tuple[float, float, str]:
    """Least and greatest moisture content, percent, that lumber is glued up at for this room, and why in words.

    The moisture content that wood comes to in the room's air over the year (`moisture.equilibrium`), to a tenth of a point;
    where the room's humidity is not set, 6 to 8 % (FPL-GTR-190, p. 13-14).
    """
    if room.humidity is None:
        return *FURNITURE_DRY, "that furniture lumber is normally dried to"
    low, high = (round(equilibrium(float(h), ROOM_FAHRENHEIT), 1) for h in room.humidity)
    air = " to ".join(f"{float(h):g}" for h in room.humidity)
    return low, high, f"that wood comes to in your room, at {air} % humidity"


def moisture_warnings(
    boards: Iterable[Board], room: Room = ANYWHERE, most: float = GLUE_UP_SPREAD
) -> tuple[MoistureWarning, ...]:
    """What the readings of the boards of one glue-up say against gluing them together now.

    Warns where readings lie more than `most` points apart (default: common practice, no source), where some boards have
    a reading and others none, where a reading is no number, and where one lies outside what `dry_enough` says.
    """
    found: dict[str, tuple[float, ...]] = {}
    missing: list[str] = []
    warnings: list[MoistureWarning] = []
    for board in {b.name: b for b in boards}.values():
        try:
            values = readings(board)
        except ValueError as error:
            text = f"{board.name}: moisture reading {str(error)[:40]!r} is not a percentage"
            warnings.append(MoistureWarning("unreadable", (board.name,), text))
            continue
        if values:
            found[board.name] = values
        else:
            missing.append(board.name)
    if found and missing:
        text = f"no moisture reading for {', '.join(missing)}, though the others have one"
        warnings.append(MoistureWarning("no reading", tuple(missing), text))
    if found:
        warnings += _spread(found, most)
    low, high, why = dry_enough(room)
    off = {name: [v for v in values if not low <= v <= high] for name, values in found.items()}
    if any(off.values()):
        listed = ", ".join(f"{n} {' and '.join(f'{v:g} %' for v in values)}" for n, values in off.items() if values)
        text = f"outside the {low:g} to {high:g} % {why}: {listed}"
        warnings.append(MoistureWarning("not furniture-dry", tuple(n for n, values in off.items() if values), text))
    return tuple(warnings)


def _spread(found: Mapping[str, tuple[float, ...]], most: float) -> list[MoistureWarning]:
    """The driest and the wettest reading, where they lie too far apart; a board that is wetter in one place counts too."""
    dry, low = min(((n, min(v)) for n, v in found.items()), key=lambda r: r[1])
    wet, high = max(((n, max(v)) for n, v in found.items()), key=lambda r: r[1])
    # As typed: 7.1 and 9.1 are two points apart, whatever binary fractions make of it.
    spread = Fraction(str(high)) - Fraction(str(low))
    if spread <= Fraction(str(most)):
        return []
    apart = f"{float(spread):g} points apart, more than {most:g} (common practice); let"
    if dry == wet:
        text = f"{dry} reads {low:g} % in one place and {high:g} % in another: {apart} it dry evenly before gluing"
        return [MoistureWarning("spread", (dry,), text)]
    text = f"{dry} reads {low:g} % and {wet} {high:g} %: {apart} them come to the same moisture content before gluing"
    return [MoistureWarning("spread", (dry, wet), text)]


def glue_up_warnings(
    plan: Plan, boards: Iterable[Board], room: Room = ANYWHERE, most: float = GLUE_UP_SPREAD
) -> dict[str, tuple[MoistureWarning, ...]]:
    """The warnings for each glued-up piece of a plan whose staves come from boards worth a warning: piece -> warnings."""
    known = {b.name: b for b in boards}
    sources: dict[str, dict[str, Board]] = {}
    for board in plan.boards:
        for piece in board.pieces:
            if piece.stave is not None and piece.set is not None and board.board in known:
                sources.setdefault(piece.set, {})[board.board] = known[board.board]
    found = {name: moisture_warnings(used.values(), room, most) for name, used in sources.items()}
    return {name: warnings for name, warnings in found.items() if warnings}
