"""One board as the rack keeps it: the measured board, and what the shop knows of it besides."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Literal

from yieldopt.rack.board.exact import Unreadable, from_text, optional_fraction, optional_text, to_text
from yieldopt.wood.lumber import Board, Defect, EdgePoint

# Where a board is in its life; only boards "on rack" can be planned, split or cut.
State = Literal["on rack", "cut", "split", "retired"]
STATES: tuple[State, ...] = ("on rack", "cut", "split", "retired")


@dataclass(frozen=True, slots=True)
class ThicknessPoint:
    """Thickness measured at one place; `x` from the datum end."""

    x: Fraction
    thickness: Fraction


@dataclass(frozen=True, slots=True)
class PhotoRef:
    """A photo that belongs to a board: its file name as given and the SHA-256 of its bytes, in hex."""

    name: str
    digest: str


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a piece lay in the board it came from: the parent's id, and its corner, face-A layer and layer count there."""

    parent: str
    x: Fraction
    y: Fraction
    layer: int = 1
    layers: int = 1


@dataclass(frozen=True)
class RackBoard:
    """A board of the rack. `board` says what was measured; everything else is the shop's own bookkeeping."""

    # UUID, lower-case hex with hyphens; stays for life, unlike the chalked name.
    id: str
    board: Board
    state: State = "on rack"
    # Who sold it; "" unknown, here and in the texts below.
    dealer: str = ""
    # The grade it was sold as; only an inspector's grade is a grade.
    grade: str = ""
    # Where it lies, e.g. "wall, bay 3".
    place: str = ""
    # Free text, may have several lines.
    remarks: str = ""
    # Meter readings in percent of dry weight.
    moisture: tuple[Fraction, ...] = ()
    thickness_points: tuple[ThicknessPoint, ...] = ()
    photos: tuple[PhotoRef, ...] = ()
    # None for a board that was bought.
    origin: Origin | None = None
    # Why it left the rack, or the job it was cut for; "" while it is on the rack.
    why: str = ""

    @property
    def name(self) -> str:
        return self.board.name


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo's bytes as they came, after they were looked at."""

    name: str
    # "JPEG", "PNG" or "WEBP".
    kind: str
    width_in_pixels: int
    height_in_pixels: int
    content: bytes = field(repr=False)
    # SHA-256 of `content`, in hex.
    digest: str = ""


def to_body(record: RackBoard) -> dict[str, Any]:
    """The record as plain data for the ledger: lengths as exact text, nothing left out."""
    b = record.board
    return {
        "id": record.id,
        "state": record.state,
        "name": b.name,
        "species": b.species,
        "quarters": b.quarters,
        **{k: to_text(getattr(b, k)) for k in _LENGTHS},
        "sawn": b.sawn,
        "stress": b.stress,
        **{k: found for k in _HOLLOWS if (found := getattr(b, k))},
        **{k: optional_text(getattr(b, k)) for k in _MONEY},
        "datum_sound": b.datum_sound,
        "far_sound": b.far_sound,
        "notes": dict(b.notes),
        "defects": [[d.kind, d.face, *(to_text(v) for v in (d.x, d.y, d.length, d.width)), dict(d.notes)] for d in b.defects],
        "edges": [[*(to_text(v) for v in (p.x, p.near, p.far)), dict(p.notes)] for p in b.edges],
        **{k: getattr(record, k) for k in _TEXTS},
        "moisture": [to_text(m) for m in record.moisture],
        "thickness_points": [[to_text(p.x), to_text(p.thickness)] for p in record.thickness_points],
        "photos": [[p.name, p.digest] for p in record.photos],
        "origin": None if (o := record.origin) is None else [o.parent, to_text(o.x), to_text(o.y), o.layer, o.layers],
    }


_LENGTHS = ("nominal", "length", "width", "thickness", "bow", "cup", "crook", "twist")
# Written only where somebody has looked: records from before boards had them keep their text.
_HOLLOWS = ("bow_hollow", "cup_hollow", "crook_hollow")
_MONEY = ("cost", "price_bf", "price_m3")
_TEXTS = ("dealer", "grade", "place", "remarks", "why")


def from_body(body: Mapping[str, Any]) -> RackBoard:
    """What `to_body` made, back as a record. Raises `Unreadable` for anything else."""
    try:
        return _from_body(body)
    except (KeyError, IndexError, TypeError, AttributeError) as error:
        raise Unreadable(f"a board's record lacks {error}") from error


def _from_body(body: Mapping[str, Any]) -> RackBoard:
    measured: dict[str, Any] = {k: body[k] for k in ("name", "species", "quarters", "sawn", "stress", "datum_sound", "far_sound")}
    measured |= {k: body.get(k, "") for k in _HOLLOWS}
    measured |= {k: from_text(body[k]) for k in _LENGTHS} | {k: optional_fraction(body[k]) for k in _MONEY}
    board = Board(
        **measured,
        defects=tuple(
            Defect(d[0], d[1], **_named(("x", "y", "length", "width"), d[2:6]), notes=MappingProxyType(d[6]))
            for d in body["defects"]
        ),
        edges=tuple(EdgePoint(**_named(("x", "near", "far"), p[:3]), notes=MappingProxyType(p[3])) for p in body["edges"]),
        notes=MappingProxyType(dict(body["notes"])),
    )
    texts: dict[str, Any] = {k: body[k] for k in _TEXTS}
    origin = body["origin"]
    return RackBoard(
        id=body["id"],
        board=board,
        state=body["state"],
        **texts,
        moisture=_fractions(body["moisture"]),
        thickness_points=tuple(ThicknessPoint(from_text(x), from_text(t)) for x, t in body["thickness_points"]),
        photos=tuple(PhotoRef(n, d) for n, d in body["photos"]),
        origin=None if origin is None else Origin(origin[0], from_text(origin[1]), from_text(origin[2]), origin[3], origin[4]),
    )


def _named(names: Sequence[str], texts: Sequence[str]) -> dict[str, Any]:
    return dict(zip(names, _fractions(texts), strict=True))


def _fractions(texts: Sequence[str]) -> tuple[Fraction, ...]:
    return tuple(from_text(t) for t in texts)


def dumps(record: RackBoard) -> str:
    """One text for one record: two records are the same, notes included, exactly when their texts are."""
    return json.dumps(to_body(record), ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def loads(text: str) -> RackBoard:
    """What `dumps` wrote. Raises `Unreadable` for anything else."""
    return from_body(parsed(text))


def parsed(text: str) -> Any:
    """A stored JSON text. Raises `Unreadable`."""
    try:
        return json.loads(text)
    except (ValueError, TypeError) as error:
        raise Unreadable(f"a stored text is not JSON: {error}") from error
