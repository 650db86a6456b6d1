"""A plan as the tree the shop cuts by, and its file form `plan.json` (format `yieldopt-plan/1`).

Lengths are `Fraction` inches in memory and JSON numbers in the job's units on disk. Frames as in `lumber.py`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from fractions import Fraction
from typing import Any, Literal, Protocol

from yieldopt.errors import UsageError
from yieldopt.lengths import Units, from_number, to_number

FORMAT = "yieldopt-plan/1"

Stage = Literal["rough", "resaw", "final"]
CutKind = Literal["crosscut", "rip", "resaw"]
State = Literal["planned", "done"]
Show = Literal["A", "B", "sawn"]
Hinge = Literal["near", "far"]


class Placed(Protocol):
    """Whatever lies on a board: corner, length and width in inches."""

    @property
    def x(self) -> Fraction: ...
    @property
    def y(self) -> Fraction: ...
    @property
    def length(self) -> Fraction: ...
    @property
    def width(self) -> Fraction: ...


@dataclass(frozen=True, slots=True)
class Cut:
    """One saw cut that parts wood. `at` is the side of the kerf nearer the datum: x of a crosscut, y of a rip, depth
    below the flattened A face of a resaw; `start` and `end` ("from", "to" on disk) its extent along the cut."""

    order: int
    stage: Stage
    kind: CutKind
    at: Fraction
    start: Fraction
    end: Fraction
    kerf: Fraction
    # The blank it is made in; None for rough cuts.
    blank: str | None = None
    # The layer it is made in, from face A; None where all are cut at once.
    layer: int | None = None
    state: State = "planned"


@dataclass(frozen=True, slots=True)
class Blank:
    """What goes over the machines in one piece."""

    blank: str
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    layers: int
    # Milled thickness of each layer, from face A.
    thicknesses: tuple[Fraction, ...]
    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """A part (or a stave of one) at its rough size inside a blank."""

    piece: str
    part: str
    blank: str
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    layer: int
    layers: int
    thickness: Fraction
    # One name per book pair, else the matching group's; for staves the glued-up piece.
    set: str | None = None
    stave: int | None = None
    show: Show | None = None
    hinge: Hinge | None = None
    state: State = "planned"


@dataclass(frozen=True, slots=True)
class Offcut:
    """A rectangle left over; `kept` ones earn credit."""

    offcut: str
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    layer: int = 1
    layers: int = 1
    kept: bool = True


@dataclass(frozen=True, slots=True)
class Spoiled:
    """A piece that was cut and lost; its wood is spent."""

    piece: str
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    layer: int = 1
    layers: int = 1
    # The blank it was cut from, where that is still in the plan.
    blank: str | None = None


@dataclass(frozen=True, slots=True)
class StressStrip:
    """A strip right across the board that is cut off first, to test the board's stress before it is resawn."""

    x: Fraction
    # Along the board.
    length: Fraction

    def cuts(self, cuts: Iterable[Cut]) -> tuple[Cut, ...]:
        """Those of the board's cuts that part it from the rest: one on either side, where the plan has both."""
        rough = [c for c in cuts if c.stage == "rough" and c.kind == "crosscut"]
        return tuple(c for c in rough if abs(c.at - self.x - self.length) <= HAIR or abs(c.at + c.kerf - self.x) <= HAIR)


@dataclass(frozen=True, slots=True)
class BoardPlan:
    """One board that the plan cuts. Money in the job's currency, exact."""

    board: str
    cost: Fraction
    credit: Fraction
    cuts: tuple[Cut, ...] = ()
    blanks: tuple[Blank, ...] = ()
    pieces: tuple[Piece, ...] = ()
    offcuts: tuple[Offcut, ...] = ()
    spoiled: tuple[Spoiled, ...] = ()
    # Of a board that is resawn without having been tested: the wood for the test, or why there is none.
    stress_strip: StressStrip | None = None
    no_stress_strip: str | None = None


@dataclass(frozen=True, slots=True)
class Unplaced:
    """Finished parts that found no place, with the reason in words."""

    part: str
    qty: int
    why: str


@dataclass(frozen=True, slots=True)
class Totals:
    """Figures of the whole plan; floats, for reports. None where a figure has no meaning."""

    net_cost: float
    bound: float | None
    gap: float | None
    yield_: float
    boards_cut: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole plan of a job."""

    job: str
    units: Units
    boards: tuple[BoardPlan, ...]
    unplaced: tuple[Unplaced, ...]
    totals: Totals
    revision: int = 1
    # Keys of the file that this version does not know or that other rooms add, kept as they were.
    extra: Mapping[str, Any] | None = None

    @property
    def complete(self) -> bool:
        return not self.unplaced

    def pieces(self) -> Iterable[tuple[BoardPlan, Piece]]:
        """Every piece with the board it comes from."""
        for board in self.boards:
            for piece in board.pieces:
                yield board, piece


# JSON numbers of millimetres come back within this of the fraction they stand for, in inches.
HAIR = Fraction(1, 1_000_000)
# Names on disk that are keywords in Python or differ from the attribute.
_ON_DISK = {"start": "from", "end": "to", "yield_": "yield"}
_MONEY = {"cost", "credit"}
# Keys that are not written where there is nothing to say.
_IF_ANY = {"stress_strip", "no_stress_strip"}


def to_json(plan: Plan) -> dict[str, Any]:
    """The plan as the dictionary that `plan.json` holds."""
    body: dict[str, Any] = {"format": FORMAT}
    body.update(_dump(replace(plan, extra=None), plan.units))
    body.pop("extra")
    body.update(plan.extra or {})
    return body


def _dump(value: Any, units: Units, money: bool = False) -> Any:
    if isinstance(value, Fraction):
        return round(float(value), 6) if money else to_number(value, units)
    if is_dataclass(value) and not isinstance(value, type):
        kept = [f.name for f in fields(value) if f.name not in _IF_ANY or getattr(value, f.name) is not None]
        return {_ON_DISK.get(name, name): _dump(getattr(value, name), units, name in _MONEY) for name in kept}
    if isinstance(value, tuple):
        return [_dump(v, units) for v in value]
    return value


def dumps(plan: Plan) -> str:
    """The text of `plan.json`: valid JSON, one line an object of the innermost kind so that a diff can be read."""
    return json.dumps(to_json(plan), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def from_json(body: Mapping[str, Any]) -> Plan:
    """Read what `to_json` wrote or another tool wrote to the same format; unknown top-level keys land in `extra`.

    Raises `UsageError` where the format is another or a field is missing or of the wrong kind.
    """
    if not isinstance(body, Mapping) or body.get("format") != FORMAT:
        raise UsageError(f'not a plan: expected "format": "{FORMAT}"')
    try:
        units: Units = body["units"]
        if units not in ("in", "mm"):
            raise ValueError(f"units {units!r}")
        boards = tuple(_board(b, units) for b in body["boards"])
        unplaced = tuple(Unplaced(str(u["part"]), int(u["qty"]), str(u.get("why", ""))) for u in body["unplaced"])
        t = body["totals"]
        totals = Totals(
            float(t["net_cost"]),
            _optional_float(t.get("bound")),
            _optional_float(t.get("gap")),
            float(t.get("yield") or 0),
            int(t.get("boards_cut", len(boards))),
            float(t.get("seconds") or 0),
        )
        known = {"format", "job", "units", "revision", "boards", "unplaced", "totals"}
        extra = {k: v for k, v in body.items() if k not in known}
        return Plan(str(body["job"]), units, boards, unplaced, totals, int(body.get("revision", 1)), extra or None)
    except (KeyError, TypeError, ValueError, AttributeError, ZeroDivisionError, OverflowError) as error:
        raise UsageError(f"the plan can't be read: {type(error).__name__}: {error}") from error


def _optional_float(value: Any) -> float | None:
    return None if value is None else float(value)


def _board(b: Mapping[str, Any], units: Units) -> BoardPlan:
    def size(o: Mapping[str, Any]) -> tuple[Fraction, Fraction, Fraction, Fraction]:
        return length(o["x"]), length(o["y"]), length(o["length"]), length(o["width"])

    def length(v: Any) -> Fraction:
        if isinstance(v, bool) or not isinstance(v, int | float):
            raise TypeError(f"{v!r} where a number is needed")
        return from_number(v, units)

    cuts = tuple(
        Cut(
            int(c["order"]),
            c["stage"],
            c["kind"],
            length(c["at"]),
            length(c["from"]),
            length(c["to"]),
            length(c["kerf"]),
            c.get("blank"),
            c.get("layer"),
            c.get("state") or "planned",
        )
        for c in b.get("cuts", ())
    )
    blanks = tuple(
        Blank(k["blank"], *size(k), int(k["layers"]), tuple(length(t) for t in k["thicknesses"]), tuple(k["pieces"]))
        for k in b["blanks"]
    )
    pieces = tuple(
        Piece(
            q["piece"],
            q["part"],
            q["blank"],
            *size(q),
            int(q["layer"]),
            int(q["layers"]),
            length(q["thickness"]),
            q.get("set"),
            q.get("stave"),
            q.get("show"),
            q.get("hinge"),
            q.get("state") or "planned",
        )
        for q in b["pieces"]
    )
    offcuts = tuple(
        Offcut(o["offcut"], *size(o), int(o.get("layer") or 1), int(o.get("layers") or 1), bool(o["kept"]))
        for o in b.get("offcuts", ())
    )
    spoiled = tuple(
        Spoiled(o["piece"], *size(o), int(o.get("layer") or 1), int(o.get("layers") or 1), o.get("blank"))
        for o in b.get("spoiled", ())
    )
    money = (Fraction(repr(float(b["cost"]))), Fraction(repr(float(b.get("credit") or 0))))
    strip, none = b.get("stress_strip"), b.get("no_stress_strip")
    kept = StressStrip(length(strip["x"]), length(strip["length"])) if strip is not None else None
    why = None if none is None else str(none)
    return BoardPlan(str(b["board"]), *money, cuts, blanks, pieces, offcuts, spoiled, kept, why)


def loads(text: str) -> Plan:
    """Read the text of a `plan.json`; raises `UsageError` where it is none."""
    try:
        body = json.loads(text)
    except (ValueError, RecursionError) as error:  # ValueError: also whole numbers of more digits than Python converts
        raise UsageError(f"the plan is not valid JSON: {error}") from error
    return from_json(body)
