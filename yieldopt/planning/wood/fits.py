"""Which items can be milled from a board, and which places on it each must keep clear of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from yieldopt.planning.demand.items import Item, PieceSpec
from yieldopt.planning.wood.grid import Grid
from yieldopt.planning.wood.stock import Stock
from yieldopt.rules.clearance import Box, clear_of_blanks, clear_of_pieces
from yieldopt.rules.faces import shows_fault
from yieldopt.sizes.sizing import crook_loss, thickness_need, warp_loss
from yieldopt.wood.lumber import Defect, Job, Part, Shop

# Floats decide thickness here for speed; this slack in inches lets exact ties pass and is far below the check's own.
HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Keepout:
    """Open rectangle of corner positions, in grid units, from which an item would overlap a defect."""

    x0: int
    x1: int
    y0: int
    y1: int


@dataclass(frozen=True, slots=True)
class Fits:
    """What one stock may give, whatever the steps of the grid: items by index, and the places each must keep clear of."""

    items: tuple[int, ...]
    keepouts: Mapping[int, Sequence[Keepout]]


def fits(stock: Stock, items: Sequence[Item], units: Sequence[ItemUnits], grid: Grid, job: Job, allowed: Sequence[int]) -> Fits:
    """`allowed` are the indices of items that the stock's board may give (species, `from`, pins); `units` their sizes."""
    able = millable(stock, items, allowed, job.shop)
    defects = [in_place(d, grid, job.shop) for d in stock.board.defects]
    return Fits(able, {i: keepouts(units[i], defects, job.parts) for i in able})


def millable(stock: Stock, items: Sequence[Item], allowed: Sequence[int], shop: Shop) -> tuple[int, ...]:
    """Those of the items whose every blank has thickness and width enough on this board, warp and crook taken off."""
    board = stock.board
    thickness, greatest_width = float(board.thickness), board.greatest_width
    warped = bool(board.bow or board.cup or board.twist)

    @cache
    def need_of(thicknesses: tuple[Fraction, ...]) -> tuple[Fraction, bool]:
        """Thickness needed before warp, and whether the board has it."""
        need = thickness_need(thicknesses, board.stress == "tested", shop)
        return need, float(need) <= thickness + HAIR and (len(thicknesses) == 1 or board.stress != "no resaw")

    def able(item: Item) -> bool:
        for blank in item.blanks:
            need, enough = need_of(blank.thicknesses)
            if not enough or (warped and need > board.thickness - warp_loss(board, blank.length, blank.width)):
                return False
        return item.width + crook_loss(board, item.length) <= greatest_width

    return tuple(i for i in allowed if able(items[i]))


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


# x0, x1, y0, y1 on the board.
BoxUnits = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class DefectUnits:
    """What a defect keeps clear, in grid units, worked out once a stock."""

    defect: Defect
    of_pieces: BoxUnits
    # None where blanks may hold it.
    of_blanks: BoxUnits | None


def in_place(defect: Defect, grid: Grid, shop: Shop) -> DefectUnits:
    def box(b: Box) -> BoxUnits:
        (x0, x1), (y0, y1) = b
        return grid.units(x0), grid.units(x1), grid.units(y0), grid.units(y1)

    blanks = clear_of_blanks(defect, shop)
    return DefectUnits(defect, box(clear_of_pieces(defect, shop)), None if blanks is None else box(blanks))


def keepouts(item: ItemUnits, defects: Sequence[DefectUnits], parts: Sequence[Part]) -> list[Keepout]:
    """Where on the stock the item's corner may not be, one rectangle a defect and piece (or blank)."""
    out: dict[Keepout, None] = {}
    for d in defects:
        if d.of_blanks is not None:
            x0, x1, y0, y1 = d.of_blanks
            for x, length, width in item.blanks:
                out.setdefault(Keepout(x0 - x - length, x1 - x, y0 - width, y1))
        x0, x1, y0, y1 = d.of_pieces
        for q, x, y, length, width in item.pieces:
            if shows_fault(parts[q.part], q, d.defect):
                out.setdefault(Keepout(x0 - x - length, x1 - x, y0 - y - width, y1 - y))
    return list(out)
