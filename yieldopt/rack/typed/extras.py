"""The shop's bookkeeping of a board as columns of a table, besides the columns that every job folder has, and back."""

from __future__ import annotations

import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType

from yieldopt.ground.errors import LengthError, Problem
from yieldopt.ground.lengths import Units, as_typed, parse_length
from yieldopt.rack.board.record import STATES, Origin, PhotoRef, RackBoard, ThicknessPoint
from yieldopt.reading.cells import unprintable
from yieldopt.wood.lumber import NO_NOTES, Board

# Longest text in a field, in characters; remarks may be longer.
LONGEST_TEXT = 200
LONGEST_REMARK = 5_000
MOST_ITEMS = 100

# Column -> what it holds; also the reference's table.
COLUMNS: Mapping[str, str] = MappingProxyType(
    {
        "dealer": "who sold it",
        "grade": "the grade it was sold as",
        "place": "where it lies",
        "remarks": "free text, may have several lines",
        "moisture": "meter readings in percent, separated by `;`",
        "thickness_points": "thickness measured at several points, `x: thickness` separated by `;`",
        "photos": "photos in the folder `photos`, file names separated by `;`",
        "rack_id": "the board's identity, which survives a new name",
        "parent": "the `rack_id` of the board it was cut from",
        "parent_place": "its corner and layer there: `x; y; layer; layers`",
        "state": "`on rack` (the default), `cut`, `split` or `retired`",
        "why": "why it left the rack",
    }
)
# What a job's boards table takes along from the rack; a tally and a glue-up's warnings read some of it.
FOR_A_JOB = ("dealer", "grade", "place", "remarks", "moisture")
_PERCENT = re.compile(r"(\d{1,3}(?:\.\d{1,6})?|\d{1,9}/\d{1,9})\s*%?", re.ASCII)


def as_notes(record: RackBoard, units: Units) -> Board:
    """The record's board with the bookkeeping among its notes, ready to be written as a row; empty columns are left out."""
    o = record.origin
    cells = {
        "dealer": record.dealer,
        "grade": record.grade,
        "place": record.place,
        "remarks": record.remarks,
        "moisture": _moisture(record),
        "thickness_points": "; ".join(f"{as_typed(p.x, units)}: {as_typed(p.thickness, units)}" for p in record.thickness_points),
        "photos": "; ".join(f"{p.digest}/{p.name}" for p in record.photos),
        "rack_id": record.id,
        "parent": o.parent if o else "",
        "parent_place": f"{as_typed(o.x, units)}; {as_typed(o.y, units)}; {o.layer}; {o.layers}" if o else "",
        "state": record.state if record.state != "on rack" else "",
        "why": record.why,
    }
    return replace(record.board, notes={**record.board.notes, **{k: v for k, v in cells.items() if v}})


def for_a_job(record: RackBoard) -> Board:
    """The record's board as a job takes it: with what helps at the bench among its notes, the rack's own keys left out."""
    texts = {k: getattr(record, k) for k in FOR_A_JOB if k != "moisture"}
    texts["moisture"] = _moisture(record)
    return replace(record.board, notes={**record.board.notes, **{k: texts[k] for k in FOR_A_JOB if texts[k]}})


def _moisture(record: RackBoard) -> str:
    return "; ".join(_percent(m) for m in record.moisture)


def _percent(value: Fraction) -> str:
    if 10**6 % value.denominator == 0:
        return f"{value.numerator / value.denominator:.6f}".rstrip("0").rstrip(".")
    return str(value)


@dataclass
class ExtrasReader:
    """Reads the bookkeeping columns of one row; problems are noted in `problems`, under `file` and `row`."""

    file: str
    row: int | None
    units: Units
    problems: list[Problem]

    def record(self, board: Board, cells: Mapping[str, str] | None = None) -> RackBoard:
        """The record of `board`; its bookkeeping comes from `cells`, or from the board's notes, which keep the rest."""
        given = board.notes if cells is None else cells
        text = {k: given.get(k, "").strip() for k in COLUMNS}
        rest = {k: v for k, v in board.notes.items() if k not in COLUMNS}
        points = self._points(text["thickness_points"], board)
        thickness = board.thickness
        if points:
            thinnest = min(p.thickness for p in points)
            if board.thickness == board.nominal:
                thickness = thinnest
            elif board.thickness > thinnest:
                self._refuse(
                    "thickness_points",
                    text["thickness_points"],
                    f"no point thinner than the board's thinnest place, {as_typed(board.thickness, self.units)}",
                )
        return RackBoard(
            self._id("rack_id", text["rack_id"]) or str(uuid.uuid4()),
            replace(
                board, thickness=thickness, quarters=plain_quarters(board), notes=MappingProxyType(rest) if rest else NO_NOTES
            ),
            self._state(text["state"]),
            self.words("dealer", text["dealer"]),
            self.words("grade", text["grade"]),
            self.words("place", text["place"]),
            self.words("remarks", text["remarks"], LONGEST_REMARK, lines=True),
            self._moisture(text["moisture"]),
            points,
            self._photos(text["photos"]),
            self._origin(text["parent"], text["parent_place"]),
            self.words("why", text["why"]),
        )

    def words(self, column: str, text: str, longest: int = LONGEST_TEXT, lines: bool = False) -> str:
        """A text without characters that can't be printed, at most `longest` long."""
        text = text.replace("\r\n", "\n").replace("\r", "\n").strip()
        bad = unprintable(text, line_breaks=lines)
        if bad:
            self._refuse(column, f"the character {bad}", "printable characters")
        elif len(text) > longest:
            self._refuse(column, f"{len(text)} characters", f"at most {longest} characters")
        return text

    def _refuse(self, column: str, found: str | None, expected: str) -> None:
        self.problems.append(Problem(self.file, self.row, column, found, expected))

    def _id(self, column: str, text: str) -> str:
        if not text:
            return ""
        try:
            return str(uuid.UUID(text))
        except ValueError:
            self._refuse(column, text, "an identity such as 123e4567-e89b-12d3-a456-426614174000, or nothing")
            return ""

    def _state(self, text: str) -> "State":  # type: ignore[name-defined]  # noqa: F821, UP037
        for state in STATES:
            if text.lower() in (state, ""):
                return state
        self._refuse("state", text, "on rack, cut, split or retired")
        return "on rack"

    def _items(self, column: str, text: str) -> list[str]:
        items = [i.strip() for i in text.split(";") if i.strip()]
        if len(items) > MOST_ITEMS:
            self._refuse(column, f"{len(items)} entries", f"at most {MOST_ITEMS}")
            return []
        return items

    def _moisture(self, text: str) -> tuple[Fraction, ...]:
        readings = []
        for item in self._items("moisture", text):
            m = _PERCENT.fullmatch(item)
            value = None
            if m and not m[1].endswith("/0") and not re.search(r"/0+$", m[1]):
                value = Fraction(m[1])
            # Green wood of some species holds more than its own dry weight of water.
            if value is None or value > 250:
                self._refuse("moisture", item, "meter readings in percent from 0 to 250, such as 8.5; 9")
                return ()
            readings.append(value)
        return tuple(readings)

    def _points(self, text: str, board: Board) -> tuple[ThicknessPoint, ...]:
        points = []
        for item in self._items("thickness_points", text):
            x, colon, thickness = item.partition(":")
            try:
                point = ThicknessPoint(parse_length(x, self.units), parse_length(thickness, self.units)) if colon else None
            except LengthError:
                point = None
            if point is None or not 0 <= point.x <= board.length or point.thickness <= 0:
                self._refuse("thickness_points", item, "points on the board such as 12: 2 1/16; 48: 2")
                return ()
            points.append(point)
        return tuple(points)

    def _photos(self, text: str) -> tuple[PhotoRef, ...]:
        photos = []
        for item in self._items("photos", text):
            head, slash, tail = item.partition("/")
            digest, name = (head, tail) if slash else ("", item)
            if (
                not name
                or "/" in name
                or "\\" in name
                or name.startswith(".")
                or unprintable(name)
                or len(name) > LONGEST_TEXT
                or (slash and not re.fullmatch(r"[0-9a-f]{64}", digest))
            ):
                self._refuse("photos", item, "names of files in the folder photos, separated by ;")
                return ()
            photos.append(PhotoRef(name, digest))
        return tuple(photos)

    def _origin(self, parent: str, place: str) -> Origin | None:
        if not parent and not place:
            return None
        found = self._id("parent", parent)
        cells = [c.strip() for c in place.split(";")]
        try:
            if not found or len(cells) != 4 or not all(re.fullmatch(r"\d{1,3}", c) for c in cells[2:]):
                raise LengthError(place, "")
            return Origin(
                found, parse_length(cells[0], self.units), parse_length(cells[1], self.units), int(cells[2]), int(cells[3])
            )
        except LengthError:
            self._refuse(
                "parent_place", place or None, "the parent's rack_id, and x; y; layer; layers there, such as 16; 0; 1; 1"
            )
            return None


def plain_quarters(board: Board) -> str:
    """The thickness class so that it says the same whatever units are read with: a bare `52` in a metric job is `52mm`."""
    if board.quarters.endswith("/4") or not re.fullmatch(r"[\d.]+", board.quarters):
        return board.quarters
    from yieldopt.rack.board.cutout import nominal_text

    return nominal_text(board.nominal)
