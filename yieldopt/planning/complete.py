"""Completing a choice: what it misses is laid out on boards that it leaves alone, board by board."""

from __future__ import annotations

import numpy as np

from yieldopt.deadline import Deadline
from yieldopt.planning.columns import Pool
from yieldopt.planning.context import Context
from yieldopt.planning.engine import OutOfTime
from yieldopt.planning.restrict import Choice, evaluate
from yieldopt.planning.sections import Counted

# Boards added at most to one choice; a search that misses more than these can hold is better begun anew.
MOST_BOARDS = 12
# Most combinations of counted copies; each costs as much again as plain pricing.
MOST_COUNTED = 12
MOST_COUNTED_OF_GROUP = 48


def complete(context: Context, choice: Choice, pool: Pool, deadline: Deadline) -> Choice:
    """The choice with boards added while any can supply what is missing; the layout that supplies most, then the
    cheapest, first. Every layout found goes into the pool."""
    best = choice
    for _ in range(MOST_BOARDS):
        if not best.missing or deadline.over:
            break
        cut = {k.stock for k in best.columns}
        able = [
            i
            for i in context.which
            if i not in cut
            and any(r in best.missing for k in context.engine.quick[i].cells.items for r, _ in context.items[k].gives)
        ]
        values = np.zeros(len(context.rows))
        for r in best.missing:
            values[r] = context.penalty * float(context.rows[r].finished)
        counted = _counted(context, best)
        try:
            priced = context.engine.price(able, [values] * len(able), [counted] * len(able), True, deadline)
        except OutOfTime:
            break
        added = best
        for p in priced:
            pool.add(p.column)
            tried = evaluate([*best.columns, p.column], context.need, context.demand)
            if tried.value < added.value - 1e-9:
                added = tried
        if added is best:
            break
        best = added
    return best


def _counted(context: Context, choice: Choice) -> Counted:
    """Missing rows with the copies missing, as many as the pricing step can count quickly; rows of a group that one board
    must give whole come first and may take longer."""
    size, counted = 1, []
    by_board = sorted(choice.missing.items(), key=lambda m: (not context.rows[m[0]].one_board, m[1]))
    for r, missing in by_board:
        copies = round(missing)
        most = MOST_COUNTED_OF_GROUP if context.rows[r].one_board else MOST_COUNTED
        if context.rows[r].kind != "stave" and size * (copies + 1) <= most:
            size *= copies + 1
            counted.append((r, copies))
    return tuple(sorted(counted))
