"""A first plan in a blink with rectpack: boards crosscut clear of every defect, single parts packed into the sections.

It stands until the search has something better, and is the yardstick that the search must beat.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import ceil, floor

import rectpack
from rectpack.guillotine import GuillotineBssfSas

from yieldopt.planning.layouts.columns import Column, column_of
from yieldopt.planning.layouts.layout import Layout, Placed
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.wood.stock import Stock
from yieldopt.rules.clearance import clear_of_pieces
from yieldopt.rules.offcuts import large_enough
from yieldopt.wood.rectangles import Rect

# Packing works on whole sixteenths of an inch: sizes rounded up, sections down.
STEP = Fraction(1, 16)


class _ThroughCuts(GuillotineBssfSas):  # type: ignore[misc]
    """rectpack's guillotine packer, which does not join free rectangles: through-cuts may not part what lies in joined ones."""

    def __init__(self, width: int, height: int, rot: bool = True, **more: object) -> None:
        super().__init__(width, height, rot, merge=False, **more)


def clear_sections(context: Context, stock: Stock) -> list[Rect]:
    """Full-height rectangles between crosscuts that clear every defect, over the ones too short to mill."""
    shop = context.job.shop
    taken = [clear_of_pieces(d, shop).along for d in stock.board.defects]
    sections, x = [], stock.x0
    for start, end in [*sorted(taken), (stock.x1 + shop.kerf.crosscut, stock.x1)]:
        stop = min(start, stock.x1)
        if stop - x >= shop.machines.min_mill_length:
            near, far = stock.board.channel(x, stop)
            far -= stock.board.crook if not stock.board.edges else 0
            # A region that earlier cuts have left is narrower than its board.
            near, far = max(near, stock.y0), min(far, stock.y1)
            if far > near:
                sections.append(Rect(x, near, stop - x, far - near))
        x = max(x, end + shop.kerf.crosscut if end > stock.x0 else x)
    return sections


def first_columns(context: Context) -> tuple[Column, ...]:
    """Columns of a first plan for the single parts of the job; empty where there are none."""
    singles = {
        r: next(
            (k for k, i in enumerate(context.items) if len(i.gives) == 1 and i.gives[0] == (r, Fraction(1)) and i.at is None),
            None,
        )
        for r, row in enumerate(context.rows)
        if row.kind == "piece" and row.pin is None
    }
    wanted = [(r, k) for r, k in singles.items() if k is not None for _ in range(int(context.need[r]))]
    columns = []
    by_value = sorted(context.which, key=lambda i: (context.stocks[i].cost / max(Fraction(1), context.stocks[i].board.area), i))
    for i in by_value:
        fit = set(context.engine.full[i].cells.items)
        mine = [(n, k) for n, (_, k) in enumerate(wanted) if k in fit]
        if not mine:
            continue
        layout, used = _pack(context, i, mine)
        if used:
            columns.append(column_of(layout, context.stocks, context.items))
            wanted = [w for n, w in enumerate(wanted) if n not in used]
    return tuple(columns)


def _pack(context: Context, index: int, mine: Sequence[tuple[int, int]]) -> tuple[Layout, set[int]]:
    """One board packed as full as rectpack makes it; which of `mine` (number, item) it took."""
    stock, shop = context.stocks[index], context.job.shop
    sections = clear_sections(context, stock)
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline, bin_algo=rectpack.PackingBin.BFF, pack_algo=_ThroughCuts, rotation=False
    )
    for n, s in enumerate(sections):
        packer.add_bin(floor((s.length + shop.kerf.crosscut) / STEP), floor((s.width + shop.kerf.rip) / STEP), bid=n)
    for n, k in mine:
        item = context.items[k]
        packer.add_rect(ceil((item.length + shop.kerf.crosscut) / STEP), ceil((item.width + shop.kerf.rip) / STEP), rid=n)
    packer.pack()
    item_of = dict(mine)
    placed, used, opened = [], set(), set()
    for bid, x, y, _, _, rid in packer.rect_list():
        n = packer[bid].bid
        placed.append(Placed(item_of[rid], sections[n].x + x * STEP, sections[n].y + y * STEP))
        used.add(rid)
        opened.add(n)
    spare = tuple(s for n, s in enumerate(sections) if n not in opened and large_enough(s.length, s.width, shop))
    return Layout(index, tuple(placed), spare), used
