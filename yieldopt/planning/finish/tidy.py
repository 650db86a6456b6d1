"""A last pass over the layouts chosen: among those that give the same and cost no more, the one that counts most after cost.

Three ways, each kept only where `care` says so: a board laid out anew for just what it gives, with long offcuts liked a
little better; strips of a section in another order; like pieces changed about, so that the part that shows gets the better
wood. None makes the plan dearer.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from copy import copy
from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from math import inf, prod

import numpy as np

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.finish.care import care, shows
from yieldopt.planning.finish.places import Places
from yieldopt.planning.layouts.columns import Column, column_of
from yieldopt.planning.layouts.layout import Layout, Placed, Section, joined
from yieldopt.planning.pricing.context import Context
from yieldopt.wood.rectangles import Rect


def tidied(c: Context, columns: Sequence[Column], deadline: Deadline) -> list[Column]:
    """The columns, each in the layout that counts most after cost, as far as the time goes."""
    tidy, tuned = [], c.tuning.tidying
    left: float = tuned.most_counted_in_all
    for k in columns:
        counted = _counted(c, k)
        if counted <= min(left, tuned.most_counted) and not deadline.over:
            left -= counted
            k = _best(c, k, _anew(c, k))
        while not deadline.over and (better := _best(c, k, _reordered(c, k))) is not k:
            k = better
        tidy.append(k)
    return tidy if deadline.over else _changed_about(c, tidy, deadline)


def _best(c: Context, now: Column, others: Iterator[Column]) -> Column:
    """`now`, or the best of the others that gives the same and costs no more."""
    best, least = now, now.cost + care(c, now.layout)
    for k in others:
        if k.gives == now.gives and k.cost <= now.cost + 1e-9 and (value := k.cost + care(c, k.layout)) < least - 1e-6:
            best, least = k, value
    return best


def _counted(c: Context, k: Column) -> float:
    """Combinations of copies to count for what the column gives; too many to count where staves are among it."""
    return inf if any(c.rows[r].kind == "stave" for r, _ in k.gives) else prod(round(a) + 1 for _, a in k.gives)


def _anew(c: Context, k: Column) -> Iterator[Column]:
    """The board laid out for just what the column gives: crosscut or rip first, long offcuts liked a little or not."""
    counted = tuple((r, round(a)) for r, a in k.gives)
    stock = c.stocks[k.stock]
    values = np.zeros(len(c.rows))
    for r, _ in counted:
        # More than any offcut could be worth.
        values[r] = 1.0 + float(stock.cost + stock.idle_credit)
    plain = c.engine.full[k.stock]
    liked = copy(plain)
    long = c.tuning.tidying.long
    longest = max(1e-9, float(stock.x1 - stock.x0))
    liked.strip_length = plain.strip_length * (1 + long * plain.strip_length / longest)
    liked.tail_length = plain.tail_length * (1 + long * plain.tail_length / longest)
    for pricer, rip in ((plain, True), (liked, True), (liked, False)):
        found = pricer.price(c.engine.supply @ values, float(stock.density), counted, rip=rip)
        yield column_of(found.layout, c.stocks, c.items)


def _reordered(c: Context, k: Column) -> Iterator[Column]:
    """The column with two strips of one section changed about, every such way."""
    places = Places(c, k.stock)
    for n, section in enumerate(k.layout.sections):
        strips = _strips(c, section)
        if not 2 <= len(strips) <= c.tuning.tidying.most_strips:
            continue
        for a, b in combinations(range(len(strips)), 2):
            order = list(strips)
            order[a], order[b] = order[b], order[a]
            made = _stacked(c, places, section, order)
            if made is not None:
                sections = [*k.layout.sections[:n], made, *k.layout.sections[n + 1 :]]
                yield column_of(joined(k.stock, sections), c.stocks, c.items)


# What lies side by side between two rips.
Strip = tuple[Placed | Rect, ...]


def _strips(c: Context, section: Section) -> list[Strip]:
    """What is in a section, strip by strip from the near edge."""
    everything: list[Placed | Rect] = [*section.placed, *section.offcuts]
    strips: list[list[Placed | Rect]] = []
    top = Fraction(0)
    for thing in sorted(everything, key=lambda t: (t.y, t.x)):
        if not strips or thing.y >= top:
            strips.append([])
        strips[-1].append(thing)
        top = max(top, thing.y + _width(c, thing)) if len(strips[-1]) > 1 else thing.y + _width(c, thing)
    return [tuple(s) for s in strips]


def _width(c: Context, thing: Placed | Rect) -> Fraction:
    return thing.width if isinstance(thing, Rect) else c.items[thing.item].width


def _stacked(c: Context, places: Places, section: Section, order: Sequence[Strip]) -> Section | None:
    """The section with its strips in this order, each as near the datum's edge as defects allow; None where they don't fit.
    Offcuts that come to lie side by side are one."""
    if any(isinstance(t, Placed) and c.items[t.item].at is not None for s in order for t in s):
        return None
    kerf = c.job.shop.kerf.rip
    length = max(t.x + (t.length if isinstance(t, Rect) else c.items[t.item].length) for s in order for t in s) - section.start
    y, top = places.between(section.start, section.start + length)
    placed: list[Placed] = []
    offcuts: list[Rect] = []
    for strip in order:
        at = _lowest(places, strip, y)
        width = max(_width(c, t) for t in strip)
        if at + width > top:
            return None
        placed += [replace(t, y=at) for t in strip if isinstance(t, Placed)]
        offcuts += [t._replace(y=at) for t in strip if isinstance(t, Rect)]
        y = at + width + kerf
    return replace(section, placed=tuple(placed), offcuts=tuple(_merged(places, offcuts, kerf)))


def _lowest(places: Places, strip: Strip, y: Fraction) -> Fraction:
    """The lowest line from `y` on where everything in the strip may lie."""
    while True:
        now = y
        for t in strip:
            y = places.next_clear(t, y) if isinstance(t, Rect) else places.next_free(t.item, t.x, y)
        if y == now:
            return y


def _merged(places: Places, offcuts: Sequence[Rect], kerf: Fraction) -> Iterator[Rect]:
    """Offcuts of one section; two with no more than a kerf between them are one wide one."""
    last: Rect | None = None
    for o in sorted(offcuts, key=lambda r: r.y):
        wide = None if last is None else last._replace(width=o.y + o.width - last.y)
        if (
            last is not None
            and wide is not None
            and (o.x, o.length) == (last.x, last.length)
            and o.y - last.y - last.width <= kerf
            and places.clear(wide)
        ):
            last = wide
            continue
        if last is not None:
            yield last
        last = o
    if last is not None:
        yield last


def _changed_about(c: Context, columns: list[Column], deadline: Deadline) -> list[Column]:
    """Columns with like items changed about where that puts better wood under parts that show."""
    columns = list(columns)
    places = [Places(c, k.stock) for k in columns]
    spots = [(n, m) for n, k in enumerate(columns) for m in range(len(k.layout.placed))]
    for (n, m), (j, i) in combinations(spots, 2):
        if deadline.over:
            break
        one, two = columns[n].layout.placed[m], columns[j].layout.placed[i]
        if (
            not _alike(c, one.item, two.item)
            or not places[n].free(two.item, one.x, one.y)
            or not places[j].free(one.item, two.x, two.y)
        ):
            continue
        changed = {n: columns[n].layout}
        changed[n] = _with(changed[n], m, two.item)
        changed[j] = _with(changed.get(j, columns[j].layout), i, one.item)
        if sum(care(c, lay) for lay in changed.values()) < sum(care(c, columns[k].layout) for k in changed) - 1e-6:
            for k, layout in changed.items():
                columns[k] = column_of(layout, c.stocks, c.items)
    return columns


def _alike(c: Context, a: int, b: int) -> bool:
    """Whether two items take the same room and thickness, and one of them shows."""
    one, two = c.items[a], c.items[b]
    free = all(i.at is None and not any(c.rows[r].one_board for r, _ in i.gives) for i in (one, two))
    same = (one.species, one.length, one.width) == (two.species, two.length, two.width)
    thick = [x.thicknesses for x in one.blanks] == [x.thicknesses for x in two.blanks]
    return a != b and free and same and thick and shows(c, one) != shows(c, two)


def _with(layout: Layout, k: int, item: int) -> Layout:
    """The layout with another item in the place of its `k`-th."""
    old = layout.placed[k]
    new = replace(old, item=item)
    sections = tuple(replace(s, placed=tuple(new if p is old else p for p in s.placed)) for s in layout.sections)
    return replace(layout, placed=(*layout.placed[:k], new, *layout.placed[k + 1 :]), sections=sections)
