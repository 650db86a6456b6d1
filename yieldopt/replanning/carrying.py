"""A tick made on one plan, on the plan that follows it: it counts where the cut or the piece is still there as it was."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from yieldopt.replanning.tickfile import Ticks
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Piece, Plan


def _blank_place(blank: Blank | None) -> tuple[Any, ...] | None:
    return None if blank is None else (blank.x, blank.y, blank.length, blank.width, blank.layers, blank.thicknesses)


def _cut_place(entry: BoardPlan, cut: Cut) -> tuple[Any, ...]:
    blank = next((b for b in entry.blanks if b.blank == cut.blank), None)
    return cut.stage, cut.kind, cut.at, cut.start, cut.end, cut.layer, _blank_place(blank)


def _piece_place(entry: BoardPlan, p: Piece) -> tuple[Any, ...]:
    blank = next((b for b in entry.blanks if b.blank == p.blank), None)
    return p.part, p.x, p.y, p.length, p.width, p.layer, p.layers, _blank_place(blank)


def _entry(plan: Plan, board: str) -> BoardPlan | None:
    return next((b for b in plan.boards if b.board == board), None)


def same_cut(old: Plan, new: Plan, board: str, order: int) -> Cut | None:
    """The cut of `new` that is cut `order` of the board in `old`: the same saw at the same place of the same wood."""
    before, now = _entry(old, board), _entry(new, board)
    cut = next((c for c in before.cuts if c.order == order), None) if before else None
    if before is None or now is None or cut is None:
        return None
    return next((c for c in now.cuts if _cut_place(now, c) == _cut_place(before, cut)), None)


def same_piece(old: Plan, new: Plan, name: str) -> Piece | None:
    """The piece of `new` that lies where `name` lies in `old` and is of the same part."""
    found = next(((b, p) for b, p in old.pieces() if p.piece == name), None)
    now = _entry(new, found[0].board) if found else None
    if found is None or now is None:
        return None
    return next((p for p in now.pieces if _piece_place(now, p) == _piece_place(*found)), None)


def carried(before: Ticks | None, after: Ticks | None, old: Plan, new: Plan, plan: str) -> Ticks | None:
    """Ticks for `new`, whose file has the digest `plan`, where it was made from `old` with the ticks `before` and there are
    those of `after` by now. What came meanwhile is among them; None where the new plan has no place for it, or
    where something was taken back that it was made with."""
    begun, ended = before or Ticks(""), after or Ticks("")
    if _taken_back(begun, ended):
        return None
    cuts: dict[str, dict[int, str]] = {}
    for board, orders in ended.cuts.items():
        for order, state in orders.items():
            if begun.cuts.get(board, {}).get(order) == state:
                continue
            cut = same_cut(old, new, board, order)
            if cut is None:
                return None
            if cut.state != state:
                cuts.setdefault(board, {})[cut.order] = state
    pieces: dict[str, str] = {}
    for name, state in ended.pieces.items():
        if begun.pieces.get(name) == state:
            continue
        piece = same_piece(old, new, name)
        if piece is None:
            return None
        if piece.state != state:
            pieces[piece.piece] = state
    known = {row["id"] for row in begun.found}
    found = tuple(row for row in ended.found if row["id"] not in known)
    return replace(ended, plan=plan, cuts=cuts, pieces=pieces, found=found)


def _taken_back(begun: Ticks, ended: Ticks) -> bool:
    def gone(a: Mapping[Any, str], b: Mapping[Any, str]) -> bool:
        return any(state != "planned" and b.get(name) != state for name, state in a.items())

    there = {row["id"] for row in ended.found}
    return (
        any(gone(orders, ended.cuts.get(board, {})) for board, orders in begun.cuts.items())
        or gone(begun.pieces, ended.pieces)
        or any(row["id"] not in there for row in begun.found)
    )
