"""Wood for the stress test of a board that is resawn without having been tested: a strip right across it, cut off first.

A strip about 1 in along the grain, taken at least 12 in from either end, is what the test takes
(https://www.woodworkingnetwork.com/magazine/fdmc-magazine/checking-casehardening). The search lays boards out without it; what
it found is then opened for the strip at the place that costs least, giving the same parts: between two sections, by moving what
lies beyond along the board, or by laying the board out anew beside it; `strip_room` looks for another choice of layouts where
that leaves a board without. All parts come first: where they leave no wood for a strip the board goes without, and the plan
says so. The bound knows nothing of strips and so holds for plans with them too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil, floor

import numpy as np

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.finish.places import Places
from yieldopt.planning.layouts.columns import Column, column_of
from yieldopt.planning.layouts.layout import Placed, Section, joined
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.pricing.sections import SectionPricer
from yieldopt.planning.wood.cells import make_cells
from yieldopt.planning.wood.fits import Fits, Keepout, in_place, in_units, keepouts
from yieldopt.planning.wood.stock import whole_board
from yieldopt.wood.lumber import Defect
from yieldopt.wood.plan import StressStrip
from yieldopt.wood.rectangles import Rect

# Strips are marked on the rough board: at whole eighths of an inch, or millimetres.
MARK = {"in": Fraction(1, 8), "mm": Fraction(5, 127)}

Found = tuple[Column, StressStrip]
# By stock: where its strip lies, or why there is none.
Strips = dict[int, StressStrip | str]


def with_strips(c: Context, columns: Sequence[Column], limit: Deadline) -> tuple[list[Column], Strips]:
    """The columns, those of boards that need a strip laid out so that there is wood for one where that can be; by stock: where
    the strip lies, or why there is none. Laying out anew ends with `limit`."""
    out: list[Column] = []
    strips: Strips = {}
    for k in columns:
        if needs_strip(c, k):
            found = min(_ways(c, k, limit), key=lambda f: (round(f[0].cost, 6), _to_an_end(c, f)), default=None)
            if found is None:
                strips[k.stock] = why_none(c, k)
            else:
                k, strips[k.stock] = found
        out.append(k)
    return out, strips


def needs_strip(c: Context, k: Column) -> bool:
    """Whether the layout resaws a whole board whose stress is not known, in a shop that tests."""
    stock, length = c.stocks[k.stock], c.job.shop.allowances.stress_strip
    if not length or stock.board.stress != "unknown" or (stock.x0, stock.x1) != _ends(c, k):
        return False
    return any(len(b.thicknesses) > 1 for p in k.layout.placed for b in c.items[p.item].blanks)


def _ends(c: Context, k: Column) -> tuple[Fraction, Fraction]:
    whole = whole_board(c.stocks[k.stock].board, c.job)
    return whole.x0, whole.x1


def _to_an_end(c: Context, found: Found) -> Fraction:
    """Inches from the strip to the nearer end: wood far in is worth more."""
    _, strip = found
    return min(strip.x, c.stocks[found[0].stock].board.length - strip.x - strip.length)


def opened(c: Context, k: Column) -> Iterator[Found]:
    """The column with a strip where its own sections leave room for one, or make it by moving along the board."""
    yield from _in_gaps(c, k)
    yield from _moved(c, k)


def _ways(c: Context, k: Column, limit: Deadline) -> Iterator[Found]:
    gaps = list(_in_gaps(c, k))
    yield from gaps
    if gaps:
        return
    moved = list(_moved(c, k))
    yield from moved
    if not any(m.cost <= k.cost + 1e-9 for m, _ in moved):
        yield from _anew(c, k, limit)


def _strip(c: Context, k: Column, low: Fraction, high: Fraction) -> StressStrip | None:
    """The strip nearest to an end within `low` to `high`, where its kerfs begin and end; None where it doesn't fit."""
    a, board, kerf = c.job.shop.allowances, c.stocks[k.stock].board, c.job.shop.kerf.crosscut
    mark = MARK[c.job.units]
    first = -(-max(low + kerf, a.stress_strip_from_end) // mark) * mark
    last = min(high - kerf, board.length - a.stress_strip_from_end) - a.stress_strip
    if first > last:
        return None
    far = max(first, last // mark * mark)
    return StressStrip(min((first, far), key=lambda x: min(x, board.length - x - a.stress_strip)), a.stress_strip)


def _in_gaps(c: Context, k: Column) -> Iterator[Found]:
    """Between what the layout has already."""
    spans = sorted(
        [(p.x + b.x, p.x + b.x + b.length) for p in k.layout.placed for b in c.items[p.item].blanks]
        + [(o.x, o.x + o.length) for o in k.layout.offcuts]
    )
    reach = Fraction(0)
    for start, end in [*spans, (c.stocks[k.stock].board.length, c.stocks[k.stock].board.length)]:
        strip = _strip(c, k, reach, start) if start > reach else None
        if strip is not None:
            yield k, strip
        reach = max(reach, end)


def _moved(c: Context, k: Column) -> Iterator[Found]:
    """Between two sections, what lies beyond moved along the board as far as it must."""
    kerf, sections = c.job.shop.kerf.crosscut, sorted(k.layout.sections, key=lambda s: s.start)
    if k.layout.first != "crosscut":
        return
    places = Places(c, k.stock)
    reach = [Fraction(0)]
    for s in sections:
        reach.append(max([reach[-1], *_ends_of(c, s)]))
    for n in range(len(sections) + 1):
        strip = _strip(c, k, reach[n], c.stocks[k.stock].board.length)
        if strip is None:
            return
        # From the near side on: what is nearest to the datum end leaves most room beyond.
        first = -(-max(reach[n] + kerf, c.job.shop.allowances.stress_strip_from_end) // MARK[c.job.units]) * MARK[c.job.units]
        strip = replace(strip, x=first)
        beyond = _pushed(c, k, places, sections[n:], strip.x + strip.length + kerf)
        if beyond is not None:
            yield column_of(joined(k.stock, [*sections[:n], *beyond]), c.stocks, c.items), strip


def _ends_of(c: Context, s: Section) -> list[Fraction]:
    return [p.x + c.items[p.item].length for p in s.placed] + [o.x + o.length for o in s.offcuts]


def _pushed(c: Context, k: Column, places: Places, sections: Sequence[Section], start: Fraction) -> list[Section] | None:
    """The sections from `start` on, each moved no further than it must be; None where one doesn't fit any more. An offcut
    that would reach past the end is cut shorter or not kept."""
    out = []
    for s in sections:
        by = max(Fraction(0), start - s.start)
        if by and any(c.items[p.item].at is not None for p in s.placed):
            return None
        placed = tuple(replace(p, x=p.x + by) for p in s.placed)
        if by and not all(places.free(p.item, p.x, p.y) and _within(c, k, p) for p in placed):
            return None
        offcuts = tuple(r for o in s.offcuts if (r := _shortened(c, k, o._replace(x=o.x + by))) and places.clear(r))
        if placed or offcuts:
            out.append(replace(s, start=s.start + by, end=s.end + by, placed=placed, offcuts=offcuts))
            start = s.end + by
    return out


def _within(c: Context, k: Column, p: Placed) -> bool:
    return p.x + c.items[p.item].length <= c.stocks[k.stock].x1


def _shortened(c: Context, k: Column, o: Rect) -> Rect | None:
    length = min(o.length, c.stocks[k.stock].x1 - o.x)
    return o._replace(length=length) if length >= c.job.shop.values.offcut_min_length else None


def _anew(c: Context, k: Column, limit: Deadline) -> Iterator[Found]:
    """The board laid out for just what the column gives, beside the strip at one place or another."""
    counted, most = tuple((r, round(a)) for r, a in k.gives), c.tuning.strip_room.most_counted
    if any(c.rows[r].kind == "stave" for r, _ in k.gives) or np.prod([n + 1 for _, n in counted]) > most:
        return
    stock, kerf = c.stocks[k.stock], c.job.shop.kerf.crosscut
    values = np.zeros(len(c.rows))
    for r, _ in counted:
        # More than any offcut could be worth.
        values[r] = 1.0 + float(stock.cost + stock.idle_credit)
    for strip in _places_for_anew(c, k):
        if limit.over:
            return
        pricer = _beside(c, k.stock, strip.x - kerf, strip.x + strip.length + kerf)
        found = pricer.price(c.engine.supply @ values, float(stock.density), counted, rip=False)
        column = column_of(found.layout, c.stocks, c.items)
        if column.gives == k.gives:
            yield column, strip


def _places_for_anew(c: Context, k: Column) -> list[StressStrip]:
    """At either end as near as may be, and behind what now lies next to them."""
    board = c.stocks[k.stock].board
    ends = [_strip(c, k, Fraction(0), board.length)]
    for end in sorted({e for s in k.layout.sections for e in _ends_of(c, s)}):
        ends.append(_strip(c, k, end, board.length))
    return list(dict.fromkeys(s for s in ends if s is not None))[: c.tuning.strip_room.most_bands]


def _beside(c: Context, stock: int, low: Fraction, high: Fraction) -> SectionPricer:
    """A pricer of the board with a band right across it that nothing may lie in."""
    known = c.engine.full[stock]
    board = c.stocks[stock].board
    # Outwards to what the grid can say.
    x0, x1 = floor(low * c.grid.per_inch), ceil(high * c.grid.per_inch)
    y0 = floor(min(p.near for p in board.outline) * c.grid.per_inch)
    y1 = ceil(max(p.far for p in board.outline) * c.grid.per_inch)
    x, y, length, width = (Fraction(n, c.grid.per_inch) for n in (x0, y0, x1 - x0, y1 - y0))
    banded = replace(board, defects=(*board.defects, Defect("other", "both", x, y, length, width)))
    units = {i: in_units(c.items[i], c.grid) for i in known.cells.items}
    there = [in_place(d, c.grid, c.job.shop) for d in board.defects]
    keep = {
        i: [
            *keepouts(units[i], there, c.job.parts),
            Keepout(x0 - units[i].length, x1, y0 - units[i].width, y1),
        ]
        for i in units
    }
    every = [units.get(i) for i in range(len(c.items))]
    at = replace(c.stocks[stock], board=banded)
    cells = make_cells(at, c.items, every, c.grid, c.job, False, Fits(known.cells.items, keep))  # type: ignore[arg-type]
    return SectionPricer(cells, stock, known.shape, c.items, tuned=known.tuned)


def why_none(c: Context, k: Column) -> str:
    """Why a board that is resawn untested has no wood for a strip, in words."""
    a, board = c.job.shop.allowances, c.stocks[k.stock].board
    if board.length < 2 * a.stress_strip_from_end + a.stress_strip:
        return "the board is too short for one"
    return "its parts leave no wood for one"
