"""Boards between a phone and the rack: as a person types them, with a version, so that nothing is overwritten unseen.

A phone sends each change under a key of its own. The rack answers a repeat as it answered the first time, so a phone may
send again until it hears back. A change names the version it was made from; if the rack has another one by now, both are shown.
No clock is read: neither the phone's nor ours decides anything.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from yieldopt.ground.errors import InputError, Problem
from yieldopt.rack.board import record
from yieldopt.rack.board.errors import NameTaken, NoSuchBoard, Refused
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.books import ledger
from yieldopt.rack.books.search import BoardSearch
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.typed.intake import Typed, to_record, typed_of

SOURCE = "board"


@dataclass(frozen=True)
class Change:
    """What a phone sends for one board."""

    id: str
    key: str
    # The version it was made from; None for a board that the phone made.
    base: str | None
    typed: Typed


class Conflict(Exception):
    """The rack has another version, or another board of that name: `theirs`, and which of the two it is."""

    def __init__(self, kind: str, theirs: RackBoard) -> None:
        super().__init__(kind)
        self.kind = kind
        self.theirs = theirs


def version(r: RackBoard) -> str:
    """One short text for one state of a board, photos apart (they are only ever added)."""
    return ledger.digest(record.dumps(replace(r, photos=())))[:32]


def as_json(r: RackBoard) -> dict[str, Any]:
    """A board for the phone: cells in inches as a person would type them."""
    typed = typed_of(r, "in")
    cells = {k: v for k, v in typed.cells.items() if v and k not in ("rack_id", "photos", "state", "why")}
    return {
        "id": r.id,
        "version": version(r),
        "state": r.state,
        "cells": cells,
        "defects": [dict(d) for d in typed.defects],
        "edges": [dict(e) for e in typed.edges],
        "photos": [{"name": p.name, "digest": p.digest} for p in r.photos],
        "board_feet": round(float(r.board.board_feet), 4),
        "price": round(float(r.board.price), 4),
    }


def apply(change: Change, before: RackBoard | None) -> RackBoard:
    """The record that the change makes of `before`. Raises `InputError` with every mistake."""
    cells = {k: v for k, v in change.typed.cells.items() if k not in ("rack_id", "photos", "state", "why")}
    made = to_record(Typed({**cells, "rack_id": change.id}, change.typed.defects, change.typed.edges), "in", SOURCE)
    if before is None:
        return made
    return replace(made, photos=before.photos, origin=before.origin, state=before.state, why=before.why)


def take_in(rack: Rack, change: Change) -> RackBoard:
    """Store a phone's change; the board as this change left it.

    Raises `Conflict`, `InputError`, or what the rack raises.
    """
    apply(change, None)
    try:
        there = rack.board(change.id)
    except NoSuchBoard:
        there = None
    if there is None or change.base is None:
        return _log(rack, change, there)
    return _correct(rack, change)


def _log(rack: Rack, change: Change, there: RackBoard | None) -> RackBoard:
    made = apply(change, None)
    try:
        return rack.log(made, key=change.key)
    except NameTaken:
        raise Conflict("name", rack.named([made.name])[made.name]) from None
    except Refused:
        # The board is known already though this key is not: taken in twice by different ways, e.g. a file and the air.
        if there is not None and version(there) == version(apply(change, there)):
            return there
        if there is None:
            raise
        raise Conflict("changed", there) from None


def _correct(rack: Rack, change: Change) -> RackBoard:
    result: RackBoard | None = None

    def corrected(before: RackBoard) -> RackBoard:
        nonlocal result
        result = apply(change, before)
        # Judged inside the rack's own transaction, so that two phones can't both be told "yes".
        if before.state != "on rack" or (version(before) != change.base and version(before) != version(result)):
            raise Conflict("changed", before)
        return result

    try:
        # A repeat is asked about the board as it was then, and gets the answer of then.
        rack.correct(change.id, corrected, key=change.key)
    except NameTaken as error:
        raise Conflict("name", rack.named([error.names[0]])[error.names[0]]) from None
    except Refused:
        # Where there is a result, the rack says so already.
        if result is None:
            raise
    assert result is not None
    return result


def all_boards(rack: Rack) -> list[dict[str, Any]]:
    """Every board on the rack."""
    return [as_json(r) for r in rack.boards(BoardSearch())]


def problems(error: InputError) -> list[dict[str, str | int | None]]:
    """Mistakes as data: the phone words them beside the field."""
    return [_problem(p) for p in error.problems]


def _problem(p: Problem) -> dict[str, str | int | None]:
    place: Mapping[str, str | int | None] = {"file": p.file, "row": p.row, "column": p.column}
    return {**place, "found": p.found, "expected": p.expected, "text": str(p)}
