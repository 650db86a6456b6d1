"""What counts after cost: fewer cuts and set-ups, longer and wider kept offcuts, the best wood on the parts that show.

Each is a small share of the board's price, so that it decides between layouts that cost the same or a few cents less. The
net cost of a plan and its bound have none of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from yieldopt.planning.demand.items import Item
from yieldopt.planning.finish.cutting import Parted, Sawn, part_cuts
from yieldopt.planning.layouts.layout import Layout, Placed
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.wood.stock import Stock
from yieldopt.wood.lumber import Board
from yieldopt.wood.rectangles import Rect


def care(c: Context, layout: Layout) -> float:
    """Money that a layout's cuts, set-ups, offcuts and show faces count for when two cost the same; less is better."""
    stock = c.stocks[layout.stock]
    price = float(stock.cost) or c.tuning.cared.no_price
    cuts = _rough_cuts(c, layout, stock)
    by, work = c.tuning.cared, c.tuning.cared.cut * len(cuts) + c.tuning.cared.set_up * set_ups(cuts)
    return price * (work - by.one_piece * _in_one_piece(layout, stock) - by.show * _well_shown(c, layout, stock))


def _rough_cuts(c: Context, layout: Layout, stock: Stock) -> list[Sawn]:
    shop = c.job.shop
    rects = [Rect(p.x + b.x, p.y, b.length, b.width) for p in layout.placed for b in c.items[p.item].blanks] + list(
        layout.offcuts
    )
    whole = Parted(Fraction(0), stock.board.length, None, None)
    limits = (stock.y0, stock.y1)
    return part_cuts(whole, rects, layout.first, shop.kerf.crosscut, shop.kerf.rip, lambda _a, _b: limits)


def set_ups(cuts: Sequence[Sawn]) -> int:
    """How often fence or stop is set anew when the cuts are made in their order: for every cut of another kind or another
    distance from the one before it."""
    count, last, before = 0, None, None
    for cut in cuts:
        same_run = before is not None and (before.kind, before.start, before.end) == (cut.kind, cut.start, cut.end)
        setting = (cut.kind, cut.at - before.at if same_run and before is not None else cut.at)
        count += setting != last
        last, before = setting, cut
    return count


def _in_one_piece(layout: Layout, stock: Stock) -> float:
    """How near the kept offcuts are to one long and wide piece: each one's share of the board's area, weighed by its shares
    of the board's length and width."""
    long, wide = float(stock.x1 - stock.x0), float(stock.y1 - stock.y0)
    if not long or not wide:
        return 0.0
    shares = [(float(o.length) / long, float(o.width) / wide) for o in layout.offcuts]
    return sum(a * b * (2 * a + b) / 3 for a, b in shares)


def _well_shown(c: Context, layout: Layout, stock: Stock) -> float:
    """Share of the board's area under parts that show, each weighed by its distance from the nearest defect."""
    area = float((stock.x1 - stock.x0) * (stock.y1 - stock.y0))
    if not area:
        return 0.0
    total, far = 0.0, c.tuning.cared.far_enough
    for p in layout.placed:
        item = c.items[p.item]
        if shows(c, item):
            total += float(item.length * item.width) * _distance(stock.board, p, item, far) / far
    return total / area


def shows(c: Context, item: Item) -> bool:
    """Whether any of its pieces must have a clear face."""
    return any(c.job.parts[q.part].faces > 0 for q in item.pieces)


def _distance(board: Board, p: Placed, item: Item, most: float) -> float:
    """Inches from the footprint to the nearest defect on either face, or `most` where there is none as near."""
    near = most
    for d in board.defects:
        dx = max(d.x - (p.x + item.length), p.x - (d.x + d.length), Fraction(0))
        dy = max(d.y - (p.y + item.width), p.y - (d.y + d.width), Fraction(0))
        near = min(near, (float(dx) ** 2 + float(dy) ** 2) ** 0.5)
    return near
