"""Completing a choice: what it misses is laid out on boards that it leaves alone, board by board."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Column, Pool
from yieldopt.planning.master.restrict import Choice, evaluate
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.pricing.engine import OutOfTime
from yieldopt.planning.pricing.sections import Counted


def complete(context: Context, choice: Choice, pool: Pool, deadline: Deadline) -> Choice:
    """The choice with boards added while any can supply what is missing; the layout that supplies most, then the
    cheapest, first. Every layout found goes into the pool."""
    tuned = context.tuning.completing
    best = choice
    offers: list[_Offer] = []
    for _ in range(tuned.most_boards):
        if not best.missing or deadline.over:
            break
        found = _best_of(context, best, offers, tuned.still)
        if found is None:
            try:
                offers = _offers(context, best, pool, deadline)
            except OutOfTime:
                break
            found = _best_of(context, best, offers, 0.0)
        if found is None:
            break
        best = found
    return best


@dataclass(frozen=True, slots=True)
class _Offer:
    """A layout of a board left alone, and what it would have gained when it was made."""

    column: Column
    gain: float


def _offers(context: Context, choice: Choice, pool: Pool, deadline: Deadline) -> list[_Offer]:
    """Of each board left alone the layout that supplies most of what is missing. Raises `OutOfTime`."""
    cut = {k.stock for k in choice.columns}
    able = [
        i
        for i in context.which
        if i not in cut
        and any(r in choice.missing for k in context.engine.quick[i].cells.items for r, _ in context.items[k].gives)
    ]
    values = np.zeros(len(context.rows))
    for r in choice.missing:
        values[r] = context.penalty * float(context.rows[r].finished)
    counted = _counted(
        context, choice, context.tuning.completing.work / max(1.0, sum(context.engine.quick[i].work for i in able))
    )
    priced = context.engine.price(able, [values] * len(able), [counted] * len(able), True, deadline)
    for p in priced:
        pool.add(p.column)
    return [_Offer(p.column, choice.value - _with(context, choice, p.column).value) for p in priced]


def _best_of(context: Context, choice: Choice, offers: Sequence[_Offer], still: float) -> Choice | None:
    """The choice with the best offer added; None where none gains anything, or less than the share `still` of what it
    gained when it was made, so that others may now be better."""
    cut = {k.stock for k in choice.columns}
    best: Choice | None = None
    fresh = False
    for offer in offers:
        if offer.column.stock not in cut:
            tried = _with(context, choice, offer.column)
            if tried.value < (best or choice).value - 1e-9:
                best, fresh = tried, choice.value - tried.value >= still * offer.gain
    return best if fresh else None


def _with(context: Context, choice: Choice, column: Column) -> Choice:
    return evaluate([*choice.columns, column], context.need, context.demand)


def _counted(context: Context, choice: Choice, combinations: float) -> Counted:
    """Missing rows with the copies missing, as many as the pricing step can count quickly; rows of a group that one board
    must give whole come first and may take longer."""
    size, counted, most = 1, [], min(context.tuning.completing.most_counted, combinations)
    by_board = sorted(choice.missing.items(), key=lambda m: (not context.rows[m[0]].one_board, m[1]))
    for r, missing in by_board:
        copies = round(missing)
        allowed = most * context.tuning.completing.of_group if context.rows[r].one_board else most
        if context.rows[r].kind != "stave" and size * (copies + 1) <= allowed:
            size *= copies + 1
            counted.append((r, copies))
    return tuple(sorted(counted))
