"""Whether an item can be milled from a board, and which places on it the item must keep clear of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from yieldopt.lumber import SOUND_KINDS, SWIRL_KINDS, THROWN_KINDS, Defect, Part, Shop
from yieldopt.planning.grid import Grid
from yieldopt.planning.items import Item, PieceSpec
from yieldopt.planning.stock import Stock
from yieldopt.sizing import crook_loss, thickness_need, warp_loss

# Floats decide thickness here for speed; this slack in inches lets exact ties pass and is far below the check's own.
HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Keepout:
    """Open rectangle of corner positions, in grid units, from which an item would overlap a defect."""

    x0: int
    x1: int
    y0: int
    y1: int


def millable(item: Item, stock: Stock, shop: Shop) -> bool:
    """True where every blank of the item has thickness and width enough on this board, warp and crook taken off."""
    board = stock.board
    for blank in item.blanks:
        layers = len(blank.thicknesses)
        if layers > 1 and board.stress == "no resaw":
            return False
        need = thickness_need(blank.thicknesses, board.stress == "tested", shop)
        if float(need) > float(board.thickness) + HAIR:
            return False
        if (board.bow or board.cup or board.twist) and need > board.thickness - warp_loss(board, blank.length, blank.width):
            return False
    return item.width + crook_loss(board, item.length) <= board.greatest_width


def shows_fault(part: Part, q: PieceSpec, defect: Defect) -> bool:
    """True where the piece may not hold this defect in the layer and with the face up that `q` has."""
    if defect.kind in part.allow:
        return False
    face = defect.seen_on
    seen = {f for f in ("A", "B") if (f == "A" and q.layer == 1) or (f == "B" and q.layer == q.layers)}
    if face != "both" and face not in seen:
        return False
    if defect.kind not in SOUND_KINDS or part.faces == 2:
        return True
    if part.faces == 0:
        return False
    # One clear face: a sound defect on both spoils it; else only the face that shows must be free of it.
    return face == "both" or (q.show is not None and q.show == face)


@dataclass(frozen=True, slots=True)
class ItemUnits:
    """An item's sizes in grid units, worked out once a job."""

    length: int
    width: int
    # (x, length, width) of each blank.
    blanks: tuple[tuple[int, int, int], ...]
    # (piece, x, y, length, width).
    pieces: tuple[tuple[PieceSpec, int, int, int, int], ...]


def in_units(item: Item, grid: Grid) -> ItemUnits:
    u = grid.units
    return ItemUnits(
        u(item.length),
        u(item.width),
        tuple((u(b.x), u(b.length), u(b.width)) for b in item.blanks),
        tuple((q, u(q.x), u(q.y), u(q.length), u(q.width)) for q in item.pieces),
    )


def keepouts(item: ItemUnits, stock: Stock, parts: Sequence[Part], shop: Shop, grid: Grid) -> list[Keepout]:
    """Where on the stock the item's corner may not be, one rectangle a defect and piece (or blank)."""
    out: dict[Keepout, None] = {}
    along, across = grid.units(shop.allowances.defect_along), grid.units(shop.allowances.defect_across)
    u = grid.units
    for d in stock.board.defects:
        x0, x1, y0, y1 = u(d.x), u(d.x + d.length), u(d.y), u(d.y + d.width)
        if d.kind in THROWN_KINDS:
            for x, length, width in item.blanks:
                out.setdefault(Keepout(x0 - x - length, x1 - x, y0 - width, y1))
        ga, gc = (along, across) if d.kind in SWIRL_KINDS else (0, 0)
        for q, x, y, length, width in item.pieces:
            if shows_fault(parts[q.part], q, d):
                out.setdefault(Keepout(x0 - ga - x - length, x1 + ga - x, y0 - gc - y - width, y1 + gc - y))
    return list(out)
