"""Which boxes are cut from each room, so that least is missing: one whole-number problem over all rooms.

Along a room sections follow one another; between two clear lengths, round each flaw, is a slot that holds one section at most
with strips below the flaw and above it. Where a slot lies is part of the problem.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from ortools.sat.python import cp_model

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.demand.ranges import money_step
from yieldopt.planning.layouts.columns import Column, column_of
from yieldopt.planning.layouts.layout import Layout, Placed, Section, joined
from yieldopt.planning.master.restrict import Choice, Gives, evaluate, solved, supply
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.search.tight.boxes import Box
from yieldopt.planning.search.tight.rooms import Fillable


@dataclass(frozen=True)
class Offers:
    """What may be cut from a room: sections, ripped strips instead of them, and strips below and above each flaw."""

    room: Fillable
    sections: tuple[Box, ...]
    strips: tuple[Box, ...]
    beside: tuple[tuple[tuple[Box, ...], tuple[Box, ...]], ...]

    @property
    def many(self) -> int:
        """How many boxes there are."""
        return len(self.sections) + len(self.strips) + sum(len(low) + len(high) for low, high in self.beside)


_Counted = list[tuple[Box, cp_model.IntVar]]


@dataclass
class _Taken:
    """The variables of one room: boxes of each clear length, of the ripped board, and of each slot with its place."""

    offers: Offers
    lengths: list[_Counted] = field(default_factory=list)
    strips: _Counted = field(default_factory=list)
    slots: list[tuple[cp_model.IntVar, _Counted, _Counted]] = field(default_factory=list)

    def sources(self) -> list[tuple[cp_model.IntVar, int, Gives]]:
        rows = [*self.lengths, self.strips, *(s for _, low, high in self.slots for s in (low, high))]
        return [(n, self.offers.room.stock, b.gives) for some in rows for b, n in some]


def chosen(
    context: Context, offers: Sequence[Offers], need: Sequence[float], kept: Sequence[Column], deadline: Deadline, effort: float
) -> Choice | None:
    """The choice that misses least of those that the solver finds within `effort` units of its deterministic time: `kept` and
    what gives `need` beside them."""
    model = cp_model.CpModel()
    taken = [_room(model, o, context.grid.units(context.job.shop.kerf.crosscut)) for o in offers]
    step = money_step(context.penalty * context.demand.short_of(dict(enumerate(need))))
    sources = [s for t in taken for s in t.sources()]
    model.minimize(supply(model, sources, need, context.demand, step))
    solver = solved(model, deadline.brief(context.tuning.dense.seconds), effort, 0, 1, True)
    if solver is None:
        return None
    layouts = [_layout(context, t, solver) for t in taken]
    columns = [column_of(k, context.stocks, context.items) for k in layouts if k.placed]
    return evaluate([*kept, *columns], context.need, context.demand)


def _room(model: cp_model.CpModel, offers: Offers, kerf: int) -> _Taken:
    room, taken = offers.room, _Taken(offers)
    ripped = model.new_bool_var("") if offers.strips else None
    taken.strips = [(b, model.new_int_var(0, room.width // b.size, "")) for b in offers.strips if b.size <= room.width]
    if ripped is not None:
        model.add(_sizes(taken.strips) <= room.width * ripped)
    begin: cp_model.LinearExpr | int = 0
    for n in range(len(room.flaws) + 1):
        mine = [(b, model.new_int_var(0, room.length // b.size, "")) for b in offers.sections if b.size <= room.length]
        taken.lengths.append(mine)
        if n == len(room.flaws):
            end: cp_model.LinearExpr | int = room.length if ripped is None else room.length * (1 - ripped)
            model.add(_sizes(mine) + begin <= end)
            break
        flaw = room.flaws[n]
        # The section before ends clear of the flaw, with its kerf beyond; the next one begins clear of it.
        at = model.new_int_var(0, flaw.start + kerf, "")
        end = model.new_int_var(flaw.end, room.length, "")
        model.add(_sizes(mine) + begin <= at)
        model.add(end >= at)
        sides = []
        for boxes in offers.beside[n]:
            side = [(b, model.new_bool_var("")) for b in boxes]
            if side:
                model.add_at_most_one(v for _, v in side)
                model.add(_sizes(side) <= end - at)
            sides.append(side)
        taken.slots.append((at, sides[0], sides[1]))
        begin = end
    return taken


def _sizes(boxes: _Counted) -> cp_model.LinearExpr:
    return cp_model.LinearExpr.weighted_sum([n for _, n in boxes], [b.size for b, _ in boxes])


def _layout(context: Context, taken: _Taken, solver: cp_model.CpSolver) -> Layout:
    room, g = taken.offers.room, context.grid

    def inches(units: int) -> Fraction:
        return Fraction(units, g.per_inch)

    def times(boxes: _Counted) -> list[Box]:
        return [b for b, n in boxes for _ in range(solver.value(n))]

    y, placed = room.y, list[Placed]()
    for box in times(taken.strips):
        placed += _row(context, [k for e in box.filling.entries for k in e.items], room.x, y)
        y += inches(box.size)
    if placed:
        return Layout(room.stock, tuple(placed), (), "rip")
    found: list[Section] = []
    x = room.x
    for n, boxes in enumerate(taken.lengths):
        for box in times(boxes):
            found.append(Section(x, x + inches(box.size), tuple(_stack(context, box, x, room.y)), ()))
            x += inches(box.size)
        if n < len(room.flaws):
            at, low, high = taken.slots[n]
            x = room.x + inches(solver.value(at))
            sides = [(b, room.y) for b in times(low)] + [(b, room.y + inches(room.flaws[n].high)) for b in times(high)]
            if sides:
                inside = [p for b, y in sides for p in _stack(context, b, x, y)]
                found.append(Section(x, x + inches(max(b.size for b, _ in sides)), tuple(inside), ()))
            x = room.x + inches(max(room.flaws[n].end, solver.value(at) + max((b.size for b, _ in sides), default=0)))
    return joined(room.stock, found)


def _stack(context: Context, box: Box, x: Fraction, y: Fraction) -> list[Placed]:
    """The strips of a section, one above another from y on."""
    placed = []
    for e in box.filling.entries:
        placed += _row(context, e.items, x, y)
        y += Fraction(e.size, context.grid.per_inch)
    return placed


def _row(context: Context, items: Sequence[int], x: Fraction, y: Fraction) -> list[Placed]:
    """Items end to end from x on."""
    placed = []
    for k in items:
        placed.append(Placed(k, x, y))
        x += context.items[k].length + context.job.shop.kerf.crosscut
    return placed
