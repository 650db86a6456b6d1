"""Records to rows and back. `put` is the only code that writes boards."""

from __future__ import annotations

import gc
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Row, Select, bindparam, delete, insert, select, update

from yieldopt.rack.board.exact import optional_text, sort_key, to_text, words
from yieldopt.rack.board.record import RackBoard, from_body, parsed
from yieldopt.rack.db import schema as s

# A board that undo took out of the rack again: hidden, but its row stays for what refers to it.
TAKEN_BACK = "taken back"

_BOARD_LENGTHS = ("nominal", "length", "width", "thickness", "bow", "cup", "crook", "twist")
_DETAILS = (s.defects, s.edges, s.thickness_points, s.board_photos)
# Most ids in one IN list; SQLite takes at least 999 variables a statement.
_CHUNK = 900


def put(connection: Connection, records: Mapping[str, RackBoard | None]) -> None:
    """Make the boards of these ids as given: written, overwritten, or hidden where None."""
    known: set[str] = set()
    for ids in _chunks(list(records)):
        known |= set(connection.execute(select(s.boards.c.id).where(s.boards.c.id.in_(ids))).scalars())
    gone = [i for i, r in records.items() if r is None]
    if gone:
        connection.execute(
            update(s.boards).where(s.boards.c.id == bindparam("which")).values(state=TAKEN_BACK), [{"which": i} for i in gone]
        )
    there = [r for r in records.values() if r is not None]
    new, old = [r for r in there if r.id not in known], [r for r in there if r.id in known]
    if len(old) > 1:
        # Names may pass from one board to another within one change: out of each other's way first.
        aside = [{"which": r.id, "aside": r.id} for r in old]
        connection.execute(update(s.boards).where(s.boards.c.id == bindparam("which")).values(name=bindparam("aside")), aside)
    for r in old:
        connection.execute(update(s.boards).where(s.boards.c.id == r.id).values(**_board_row(r)))
    if new:
        connection.execute(insert(s.boards), [_board_row(r) for r in new])
    if old:
        for table in _DETAILS:
            connection.execute(delete(table).where(table.c.board == bindparam("which")), [{"which": r.id} for r in old])
    for table, rows in _detail_rows(there):
        if rows:
            connection.execute(insert(table), rows)


def _board_row(r: RackBoard) -> dict[str, Any]:
    b = r.board
    o = r.origin
    return {
        "id": r.id,
        "name": b.name,
        "state": r.state,
        "species": b.species,
        "quarters": b.quarters,
        **{k: to_text(getattr(b, k)) for k in _BOARD_LENGTHS},
        "length_um": sort_key(b.length),
        "width_um": sort_key(b.greatest_width),
        "thickness_um": sort_key(b.thickness),
        "sawn": b.sawn,
        "stress": b.stress,
        "bow_hollow": b.bow_hollow,
        "cup_hollow": b.cup_hollow,
        "crook_hollow": b.crook_hollow,
        "cost": optional_text(b.cost),
        "price_bf": optional_text(b.price_bf),
        "price_m3": optional_text(b.price_m3),
        "datum_sound": b.datum_sound,
        "far_sound": b.far_sound,
        "notes": _json(b.notes),
        "dealer": r.dealer,
        "grade": r.grade,
        "place": r.place,
        "remarks": r.remarks,
        "why": r.why,
        "moisture": " ".join(to_text(m) for m in r.moisture),
        "parent": o.parent if o else None,
        "parent_x": to_text(o.x) if o else None,
        "parent_y": to_text(o.y) if o else None,
        "parent_layer": o.layer if o else None,
        "parent_layers": o.layers if o else None,
    }


def _detail_rows(records: Iterable[RackBoard]) -> list[tuple[Any, list[dict[str, Any]]]]:
    defects: list[dict[str, Any]] = []
    edges: list[dict[str, Any]] = []
    points: list[dict[str, Any]] = []
    photos: list[dict[str, Any]] = []
    for r in records:
        for no, d in enumerate(r.board.defects):
            defects.append(
                {
                    "board": r.id,
                    "no": no,
                    "kind": d.kind,
                    "face": d.face,
                    "x": to_text(d.x),
                    "y": to_text(d.y),
                    "length": to_text(d.length),
                    "width": to_text(d.width),
                    "notes": _json(d.notes),
                }
            )
        for no, e in enumerate(r.board.edges):
            edges.append(
                {
                    "board": r.id,
                    "no": no,
                    "x": to_text(e.x),
                    "near": to_text(e.near),
                    "far": to_text(e.far),
                    "notes": _json(e.notes),
                }
            )
        for no, p in enumerate(r.thickness_points):
            points.append({"board": r.id, "no": no, "x": to_text(p.x), "thickness": to_text(p.thickness)})
        for no, f in enumerate(r.photos):
            photos.append({"board": r.id, "no": no, "name": f.name, "digest": f.digest})
    return [(s.defects, defects), (s.edges, edges), (s.thickness_points, points), (s.board_photos, photos)]


def fetch(connection: Connection, query: Select[Any]) -> list[RackBoard]:
    """The boards that `query` (a select over the boards table) yields, in its order, with everything that belongs to them."""
    rows = connection.execute(query).all()
    ids = [row.id for row in rows]
    with _no_collector(len(rows)):
        details = {table.name: _details(connection, table, ids) for table in _DETAILS}
        return [_record(row, {name: found.get(row.id, ()) for name, found in details.items()}) for row in rows]


@contextmanager
def _no_collector(rows: int) -> Iterator[None]:
    """Leave the garbage collector off while thousands of boards are built: none of it is garbage, and looking for some takes
    longer than the building."""
    if rows < _CHUNK or not gc.isenabled():
        yield
        return
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


def _details(connection: Connection, table: Any, ids: Sequence[str]) -> Mapping[str, Sequence[Row[Any]]]:
    found: dict[str, list[Row[Any]]] = defaultdict(list)
    everything = len(ids) > 5 * _CHUNK
    for chunk in [None] if everything else _chunks(ids):
        query = select(table).order_by(table.c.board, table.c.no)
        for row in connection.execute(query if chunk is None else query.where(table.c.board.in_(chunk))):
            found[row.board].append(row)
    return found


def _record(row: Row[Any], details: Mapping[str, Sequence[Row[Any]]]) -> RackBoard:
    body = dict(row._mapping)
    body["notes"] = _notes(row.notes)
    body["moisture"] = words(row.moisture)
    body["origin"] = None
    if row.parent is not None:
        body["origin"] = [row.parent, row.parent_x, row.parent_y, row.parent_layer, row.parent_layers]
    body["datum_sound"], body["far_sound"] = bool(row.datum_sound), bool(row.far_sound)
    body["defects"] = [[d.kind, d.face, d.x, d.y, d.length, d.width, _notes(d.notes)] for d in details["defects"]]
    body["edges"] = [[e.x, e.near, e.far, _notes(e.notes)] for e in details["edges"]]
    body["thickness_points"] = [[p.x, p.thickness] for p in details["thickness_points"]]
    body["photos"] = [[f.name, f.digest] for f in details["board_photos"]]
    return from_body(body)


def names(connection: Connection, ids: Iterable[str]) -> dict[str, str]:
    """The names of boards by id, whatever became of them; unknown ids are left out."""
    found: dict[str, str] = {}
    for chunk in _chunks(list(ids)):
        rows = connection.execute(select(s.boards.c.id, s.boards.c.name).where(s.boards.c.id.in_(chunk)))
        found.update((row.id, row.name) for row in rows)
    return found


def by_id(connection: Connection, ids: Iterable[str]) -> dict[str, RackBoard]:
    """Boards by id; ids that are unknown or taken back are left out."""
    found: dict[str, RackBoard] = {}
    for chunk in _chunks(list(ids)):
        query = select(s.boards).where(s.boards.c.id.in_(chunk), s.boards.c.state != TAKEN_BACK)
        found.update((r.id, r) for r in fetch(connection, query))
    return found


def _json(notes: Mapping[str, str]) -> str:
    return json.dumps(dict(notes), ensure_ascii=False) if notes else "{}"


def _notes(text: str) -> dict[str, str]:
    return {} if text == "{}" else parsed(text)


def _chunks(ids: Sequence[str]) -> Iterable[list[str]]:
    return (list(ids[i : i + _CHUNK]) for i in range(0, len(ids), _CHUNK))
