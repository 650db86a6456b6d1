"""Ticks from phones, taken in one at a time whichever page they came to, each answered once it is on the disk."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from yieldopt.ground.errors import UsageError, YieldoptError
from yieldopt.rack.board.errors import KeyReused
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.books.ledger import digest
from yieldopt.rack.door.facade import new_id
from yieldopt.rack.typed.intake import Typed, to_record, typed_of
from yieldopt.records.history import EARLIER
from yieldopt.records.planfile import loads
from yieldopt.replanning import tickfile
from yieldopt.replanning.carrying import same_cut, same_piece
from yieldopt.replanning.tickfile import FILE, Ticks, digest_of
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import BoardPlan, Plan

CHANGED = "the plan has changed since this sheet was opened; load it again"
DEFECT = ("kind", "face", "x", "y", "length", "width")


class Otherwise(YieldoptError):
    """The tick was made from another state than the one there is; `now` is that one."""

    def __init__(self, now: str) -> None:
        super().__init__(f"it is {now} by now")
        self.now = now


class Overtaken(YieldoptError):
    """What the tick speaks of is not in the newest plan as it was when the phone saw it, or not as it is there any more."""


# Job, plan and its digest as they are now.
PlanNow = Callable[[], tuple[Job, Plan, str]]


def ticks_of(folder: Path, plan: str) -> Ticks:
    """The ticks of this very plan; a plan made anew starts with none. Raises `UsageError` for a damaged file."""
    found = tickfile.read(folder / FILE)
    return found if found is not None and found.plan == plan else Ticks(plan)


def cut_state(ticks: Ticks, entry: BoardPlan, order: int) -> str:
    """Of a cut of a board: as ticked, else as planned. Raises `UsageError` where there is no such cut."""
    cut = next((c for c in entry.cuts if c.order == order), None)
    if cut is None:
        raise UsageError("no such cut on this board")
    return ticks.cuts.get(entry.board, {}).get(order, cut.state)


def take(folder: Path, plan_now: PlanNow, body: Mapping[str, Any], by: str) -> None:
    """Take in one tick of the phone `by`: a cut or a piece is now `state` and was `was` when the phone saw it; or a defect was
    `found`, or `take_back` names one that was none after all. On the disk once this returns; a repeat does nothing.

    Raises `Otherwise`, `Overtaken`, `KeyReused` for a key that came with another tick, `UsageError` where there is no such cut or
    piece, `InputError` for a defect that is none, `OSError`.
    """
    key = str(body["key"])
    fingerprint = digest(json.dumps({k: v for k, v in body.items() if k != "key"}, sort_keys=True))
    with tickfile.alone(folder):
        job, plan, own = plan_now()
        there = tickfile.read(folder / FILE)
        ticks = there if there is not None and there.plan == own else Ticks(own)
        known = ticks.keys.get(key)
        if known is None:
            old = plan if body.get("plan") == own else _earlier(folder, str(body.get("plan")))
            ticks = _changed(ticks, job, old, plan, body, by)
            tickfile.store(folder, ticks.remembering(key, fingerprint), there)
        elif known and known != fingerprint:
            raise KeyReused(key)


def _earlier(folder: Path, wanted: str) -> Plan:
    """The plan that a phone still had, from the job's history. Raises `Overtaken` for one that nobody knows any more."""
    try:
        for path in sorted((folder / EARLIER).iterdir(), reverse=True):
            text = path.read_text(encoding="utf-8-sig")
            if digest_of(text) == wanted:
                return loads(text)
    except (OSError, UnicodeDecodeError, UsageError):
        pass
    raise Overtaken(CHANGED)


def _changed(ticks: Ticks, job: Job, old: Plan, plan: Plan, body: Mapping[str, Any], by: str) -> Ticks:
    board = str(body["board"])
    if body.get("take_back") is not None:
        return _taken_back(ticks, str(body["take_back"]), plan)
    if body.get("found") is not None:
        if not any(b.board == board for b in (*old.boards, *plan.boards)):
            raise UsageError("no such board in this plan")
        row = found_defect(job, board, body["found"])
        return replace(ticks, found=(*ticks.found, {"id": str(body["key"]), "by": by, **row}))
    if not any(b.board == board for b in old.boards):
        raise UsageError("no such board in this plan")
    return _cut(ticks, old, plan, body) if body.get("cut") is not None else _piece(ticks, old, plan, body)


def _taken_back(ticks: Ticks, which: str, plan: Plan) -> Ticks:
    rest = tuple(row for row in ticks.found if row["id"] != which)
    if len(rest) == len(ticks.found):
        raise Overtaken(
            f"this defect is no longer among those noted: it was taken back, or revision {plan.revision} was planned with it. "
            "A board that was measured wrong is corrected in the job"
        )
    return replace(ticks, found=rest)


def _cut(ticks: Ticks, old: Plan, plan: Plan, body: Mapping[str, Any]) -> Ticks:
    board, order, state = str(body["board"]), int(body["cut"]), str(body["state"])
    if state == "spoiled" or not any(c.order == order for b in old.boards if b.board == board for c in b.cuts):
        raise UsageError("no such cut on this board")
    cut = same_cut(old, plan, board, order)
    if cut is None:
        raise Overtaken(_laid_out_anew(f"cut {order}", board, plan))
    entry = next(b for b in plan.boards if b.board == board)
    _expect(cut_state(ticks, entry, cut.order), body)
    if cut.state == "done" and state == "planned":
        raise Overtaken(_settled(f"cut {cut.order}", plan))
    orders = {k: v for k, v in ticks.cuts.get(board, {}).items() if k != cut.order}
    if state != cut.state:
        orders[cut.order] = state
    return replace(ticks, cuts={**ticks.cuts, board: orders})


def _piece(ticks: Ticks, old: Plan, plan: Plan, body: Mapping[str, Any]) -> Ticks:
    name, board, state = str(body.get("piece")), str(body["board"]), str(body["state"])
    if not any(p.piece == name and b.board == board for b, p in old.pieces()):
        raise UsageError("no such piece on this board")
    piece = same_piece(old, plan, name)
    if piece is None:
        raise Overtaken(_laid_out_anew(name, board, plan))
    _expect(ticks.pieces.get(piece.piece, piece.state), body)
    if piece.state == "done" and state == "planned":
        raise Overtaken(_settled(piece.piece, plan))
    return replace(ticks, pieces={**ticks.pieces, piece.piece: state})


def _laid_out_anew(what: str, board: str, plan: Plan) -> str:
    return f"revision {plan.revision} has {what} of {board} no more as it was; look at the new sheet and tick there what is cut"


def _settled(what: str, plan: Plan) -> str:
    return f"{what} was made before revision {plan.revision} was planned, which builds on it; it can't be taken back here"


def _expect(now: str, body: Mapping[str, Any]) -> None:
    if now not in (body.get("was"), body["state"]):
        raise Otherwise(now)


def found_defect(job: Job, board: str, cells: Mapping[str, str]) -> dict[str, str]:
    """A defect found at the bench, checked like a row of `defects.csv`. Raises `InputError`."""
    row = {k: str(cells[k]).strip() for k in DEFECT if cells.get(k)}
    typed = typed_of(RackBoard(new_id(), job.board_named[board]), job.units)
    to_record(Typed(typed.cells, [row], typed.edges), job.units, "found")
    return {"board": board, **row}
