"""Pricing by sections and strips: the best layout of one stock for given item values, and a bound on any such layout.

Kinds of layout considered. *Crosscut first*: the board in sections, each ripped into strips, each strip holding one item
or two of like width end to end; kept offcuts are strips of sections, or of all that is left at the far end, ripped clear
of defects; a section is as long as a strip or as the least offcut. *Rip first*: the board in full-length strips as wide as
one of the items or as the least offcut, each crosscut into items of like width; kept offcuts are what is left at a strip's
far end, and strips of any width.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import prod

import numpy as np
import numpy.typing as npt

from yieldopt.planning.demand.items import Item
from yieldopt.planning.demand.ranges import BOUND, SEARCH
from yieldopt.planning.kernels.sections import Chain, chain_up, stack_values
from yieldopt.planning.kernels.stock import Ints, Offcuts, corner_values
from yieldopt.planning.kernels.trace import ITEM, trace_stack
from yieldopt.planning.kernels.trace import Section as Traced
from yieldopt.planning.layouts.layout import Layout, Placed, Section, joined
from yieldopt.planning.pricing.budget import Budget, make_budget
from yieldopt.planning.pricing.ripping import Rows, best_strips
from yieldopt.planning.pricing.rivals import Rivals, find_rivals
from yieldopt.planning.tuning import USUAL, Pricing
from yieldopt.planning.wood.cells import Cells
from yieldopt.wood.rectangles import Rect

# Pairs of items of the job, by index.
Ids = frozenset[tuple[int, int]]
# Slack in inches for widths compared as floats.
HAIR = 1e-9


@dataclass(frozen=True)
class _Within:
    """What a pricer of some items takes over from that of more: pairs, rivals, and lengths of sections unless they follow
    from the items."""

    pairs: Ints
    rivals: Rivals
    lens: Ints | None


@dataclass(frozen=True)
class Shape:
    """Which strips and rips are looked at; the bound covers just these."""

    # Longest pair of items end to end within a strip, as a share of the longest item (2: any pair).
    pair_reach: float = 2.0
    # Whether rip-first layouts are looked at too.
    rip: bool = True
    # Whether a section may be as long as an item that is not wanted; only a kept offcut can gain by it.
    any_length: bool = True


# (row, most copies) of each row that a layout must not exceed.
Counted = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Priced:
    """The best layout of one stock, and its worth at the prices asked."""

    worth: float
    layout: Layout
    # Where copies are counted: the best layouts of other kinds that use fewer copies.
    fewer: tuple[Layout, ...] = ()


class _Scratch(threading.local):
    """Arrays that are filled anew at each call, kept between calls of one thread: fresh memory costs more than pricing."""

    def __init__(self) -> None:
        self._kept: dict[str, npt.NDArray[np.uint8]] = {}

    def array(self, name: str, shape: tuple[int, ...], kind: type[np.signedinteger]) -> npt.NDArray[np.signedinteger]:
        size = prod(shape) * np.dtype(kind).itemsize
        if name not in self._kept or len(self._kept[name]) < size:
            self._kept[name] = np.empty(size, np.uint8)
        return self._kept[name][:size].view(kind).reshape(shape)


_scratch = _Scratch()


class SectionPricer:
    """Prices one stock. Safe to call from several threads."""

    def __init__(
        self,
        cells: Cells,
        index: int,
        shape: Shape,
        items: Sequence[Item],
        among: Ids | None = None,
        within: _Within | None = None,
        tuned: Pricing = USUAL.pricing,
    ) -> None:
        """`among`: the only pairs of items that may share a strip, so that another pricer's layouts hold these; `within`:
        what is taken over from the pricer of more items."""
        self.cells, self.index, self.shape, self.tuned = cells, index, shape, tuned
        self._items = items
        self.gives = [dict(items[k].gives) for k in cells.items]
        self.pinned = [items[k].at for k in cells.items]
        g, ground = cells.grid, cells.ground
        lengths = ground.item_length
        reach = min(int(lengths.max() * shape.pair_reach), ground.length) if len(lengths) else 0
        self.pairs = _pairs(cells, reach, items, among, tuned) if within is None else within.pairs
        self.rivals = find_rivals(cells, self.pairs) if within is None else within.rivals
        if within is None or within.lens is None:
            # An offcut beside short strips may want a longer section than they do.
            kept = [cells.least_section] if cells.stock.density and cells.least_section <= ground.length else []
            lens = np.unique(np.concatenate([lengths, self.pairs[:, 2], np.array(kept, np.int32)])).astype(np.int32)
            self.lens = lens[lens <= ground.length]
        else:
            self.lens = within.lens
        # Length of wood in a section of L cells, as far as an offcut there can have it.
        along = self.lens + int(cells.loose) - cells.kerf_along
        self.strip_length = np.where(along >= cells.offcut_length - 1e-9, along, 0.0) * g.along
        self.need_clear = np.maximum(0, self.lens - cells.kerf_along).astype(np.int32)
        rest = (g.units(cells.stock.x1) - g.units(cells.stock.x0)) / g.step_x - np.arange(ground.length)
        whole = rest if cells.loose else np.floor(rest + 1e-9)
        self.tail_length = np.where(whole >= cells.offcut_length - 1e-9, whole, 0.0) * g.along
        self.tail_clear = np.maximum(0, np.floor(rest + 1e-9)).astype(np.int32)
        self.row = g.across
        self._budgets: dict[Counted, Budget] = {}
        self._narrowed: dict[bytes, SectionPricer] = {}

    def narrowed(self, wanted: npt.NDArray[np.bool_]) -> SectionPricer:
        """The same for some of the items: far less work where few are wanted."""
        key = wanted.tobytes()
        known = self._narrowed.get(key)
        if known is None:
            if len(self._narrowed) >= self.tuned.most_narrowed:
                self._narrowed.clear()
            place = np.cumsum(wanted, dtype=np.int32) - 1
            pairs = self.pairs[wanted[self.pairs[:, 0]] & wanted[self.pairs[:, 1]]]
            pairs = np.stack([place[pairs[:, 0]], place[pairs[:, 1]], pairs[:, 2]], axis=1).astype(np.int32)
            within = _Within(pairs, self.rivals.only(wanted), self.lens if self.shape.any_length else None)
            cells = self.cells.only(np.flatnonzero(wanted))
            known = SectionPricer(cells, self.index, self.shape, self._items, None, within, self.tuned)
            self._narrowed[key] = known
        return known

    @property
    def work(self) -> float:
        """Cells that one pricing without counting goes through, roughly."""
        slots = len(self.budget(()).strips.width)
        return float(self.cells.ground.length * self.cells.ground.width) * (
            len(self.lens) * slots + 3 * len(self.pairs) + 2 * len(self.cells.items)
        )

    @property
    def ids(self) -> Ids:
        """The pairs of the job's items that may share a strip."""
        items = self.cells.items
        return frozenset((items[i], items[j]) for i, j, _ in self.pairs.tolist())

    def budget(self, counted: Counted) -> Budget:
        """Tables for these counted rows, made once."""
        if counted not in self._budgets:
            self._budgets[counted] = make_budget(
                [cap for _, cap in counted], self._uses(counted), self.cells.ground.item_width, self.pairs
            )
        return self._budgets[counted]

    def _uses(self, counted: Counted) -> list[tuple[int, ...]]:
        return [tuple(min(int(g.get(r, 0)), cap + 1) for r, cap in counted) for g in self.gives]

    def price(
        self, values: npt.NDArray[np.float64], density: float, counted: Counted = (), up: bool = False, rip: bool = True
    ) -> Priced:
        """The best layout and its worth. `values` are money per item of the job (0 or less: not wanted), `density` money per
        square inch of kept offcut; no layout uses more of the `counted` rows than it may. The worth leaves out what the stock
        costs; with `up` it is rounded so that it is never too low. `rip`: rip-first layouts are looked at too."""
        wanted = values[list(self.cells.items)] > 0 if len(self.cells.items) else np.ones(0, np.bool_)
        if len(wanted) and wanted.mean() <= self.tuned.narrow:
            return self.narrowed(wanted).price(values, density, counted, up, rip)
        c, ground = self.cells, self.cells.ground
        money = values[list(c.items)] if len(c.items) else np.zeros(0)
        # A stock of few cells may be larger than they are: offcuts are measured on it.
        area = max(
            ground.length * ground.width * c.grid.along * c.grid.across,
            float((c.stock.x1 - c.stock.x0) * (c.stock.y1 - c.stock.y0)),
        )
        dearest = float((money / np.maximum(1, ground.item_length * ground.item_width)).max(initial=0.0))
        most = max(1e-9, density * area, dearest * ground.length * ground.width)
        coarse = most > self.tuned.most_in_search * float(c.stock.cost + c.stock.idle_credit)
        kind, full, fine = BOUND if up or coarse else SEARCH
        scale = full / most
        rounding = np.ceil if up else np.floor
        if len(self.rivals.rows):
            uses = np.array(self._uses(counted), np.int32).reshape(len(money), len(counted))
            money = np.where(self.rivals.beaten(money, uses), 0.0, money)
        iv = np.maximum(0, rounding(money * scale)).astype(np.int32)
        b = self.budget(counted)
        each = self.row * density * scale * 2**fine
        strip, tail_value = (rounding(n * each).astype(np.int32) for n in (self.strip_length, self.tail_length))
        offcuts = Offcuts(
            c.clear, self.need_clear, strip, self.tail_clear, tail_value, c.offcut_rows, c.granted, c.kerf_across, fine
        )
        corner = _scratch.array("corner", (len(c.items), ground.width, ground.length), kind)
        corner_values(ground, iv, corner)
        budgets = b.full + 1
        sections = _scratch.array("sections", (budgets, len(self.lens), ground.length), kind)
        tail = _scratch.array("tail", (budgets, ground.length), kind)
        stack_values(ground, iv, b.strips, corner, self.lens, c.height, offcuts, sections, tail)
        names = ("worth", "section", "budget")
        chain = Chain(*(_scratch.array(n, (budgets, ground.length + 1), np.int32) for n in names))
        chain_up(self.lens, b.splits, sections, tail, chain)
        worth = int(chain.worth[b.full, 0])

        def chained(budget: int) -> Layout:
            rows = self._trace(chain, b, budget, iv << fine, offcuts)
            return joined(self.index, [self._section(r) for r in rows if r])

        fewer = [] if up or not counted else [chained(k) for k in _fewer(chain.worth[:, 0], self.tuned.most_fewer)]
        if rip and self.shape.rip:
            ripped, rows = best_strips(c, self.budget(()), iv, corner, offcuts, self.tuned.strip_share)
            if ripped > worth and counted:
                # Counting copies takes long and can only lower it.
                ripped, rows = best_strips(c, b, iv, corner, offcuts, self.tuned.strip_share)
            if ripped > worth:
                return Priced(ripped / scale, Layout(self.index, *self._contents(rows), "rip"), tuple(fewer))
        return Priced(worth / scale, chained(b.full), tuple(fewer))

    def _trace(self, chain: Chain, b: Budget, budget: int, iv: Ints, offcuts: Offcuts) -> list[Rows]:
        """For each section of the chain within a budget, rows (what, item or offcut's rows, x, y, section's end)."""
        ground, height = self.cells.ground, self.cells.height
        out = np.zeros((2 * ground.width + 4, 5), np.int64)
        sections: list[Rows] = []
        x, s = 0, budget
        rest = {(int(k), int(part)): int(rest) for k, part, rest in b.splits}
        while x < ground.length:
            e = int(chain.section[s, x])
            if e < 0:
                x += 1
                continue
            is_tail = e == len(self.lens)
            L = ground.length - x if is_tail else int(self.lens[e])
            part = s if is_tail else int(chain.budget[s, x])
            need = self.tail_clear[x] if is_tail else self.need_clear[e]
            value = offcuts.tail_value[x] if is_tail else offcuts.section_value[e]
            section = Traced(x, L, int(height[L]), int(need), int(value))
            n = trace_stack(section, part, ground, iv, b.strips, offcuts, out)
            sections.append([(int(r[0]), int(r[1]), int(r[2]), int(r[3]), x + L) for r in out[:n]])
            s = 0 if is_tail else rest[s, part]
            x += L
        return sections

    def _section(self, rows: Rows) -> Section:
        """What the rows of one section mean in inches."""
        start, end = min(x for _, _, x, _, _ in rows), rows[0][4]
        return Section(self._along(start), self._along(end), *self._contents(rows))

    def _contents(self, rows: Rows) -> tuple[tuple[Placed, ...], tuple[Rect, ...]]:
        placed = tuple(self._placed(k, x, y) for what, k, x, y, _ in rows if what == ITEM)
        return placed, tuple(self._offcut(k, x, y, end) for what, k, x, y, end in rows if what != ITEM)

    def _along(self, x: int) -> Fraction:
        g = self.cells.grid
        return self.cells.stock.x0 + Fraction(x * g.step_x, g.per_inch)

    def _across(self, y: int) -> Fraction:
        g = self.cells.grid
        return self.cells.stock.y0 + Fraction(y * g.step_y, g.per_inch)

    def _placed(self, k: int, x: int, y: int) -> Placed:
        pinned = self.pinned[k]
        if pinned is not None:
            return Placed(self.cells.items[k], pinned[1], pinned[2])
        return Placed(self.cells.items[k], self._along(x), self._across(y))

    def _offcut(self, rows: int, x: int, y: int, end: int) -> Rect:
        c, g = self.cells, self.cells.grid
        at_x = self._along(x)
        stop = min(c.stock.x1, self._along(end - c.kerf_along)) if end < c.ground.length else c.stock.x1
        cells = int((stop - at_x) * g.per_inch // g.step_x)
        return Rect(at_x, self._across(y), Fraction(cells * g.step_x, g.per_inch), Fraction(rows * g.step_y, g.per_inch))


def _fewer(worths: Ints, most: int) -> list[int]:
    """Budgets other than the last, the full one, of the greatest worths, each worth once; so many at most."""
    seen: dict[int, int] = {}
    for k, worth in enumerate(worths[:-1].tolist()):
        if 0 < worth < worths[-1]:
            seen.setdefault(worth, k)
    return [seen[w] for w in sorted(seen, reverse=True)[:most]]


def _pairs(cells: Cells, reach: int, items: Sequence[Item], among: Ids | None, tuned: Pricing) -> Ints:
    """Rows (item, item, total length) of the pairs that may share a strip, sorted by length."""
    lengths, across = cells.ground.item_length, cells.true_width
    if not len(lengths):
        return np.zeros((0, 3), np.int32)
    total = lengths[:, None] + lengths[None, :]
    narrow, wide = np.minimum.outer(across, across), np.maximum.outer(across, across)
    free = np.array([not items[k].alone for k in cells.items])
    i, j = np.nonzero((total <= reach) & (narrow >= tuned.pair_width * wide - HAIR) & free[:, None] & free[None, :])
    if among is not None:
        allowed = [(cells.items[a], cells.items[b]) in among for a, b in zip(i.tolist(), j.tolist(), strict=True)]
        i, j = i[allowed], j[allowed]
    elif len(i) > tuned.most_pairs:
        most_alike = np.lexsort((j, i, total[i, j], (wide - narrow)[i, j].round(9)))[:tuned.most_pairs]
        i, j = i[most_alike], j[most_alike]
    t = total[i, j]
    by = np.argsort(t, kind="stable")
    return np.stack([i[by], j[by], t[by]], axis=1).astype(np.int32)
