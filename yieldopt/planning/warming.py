"""Compiles the pricing step before any clock runs: some ten seconds on the first run after an installation, then none."""

from __future__ import annotations

from fractions import Fraction

from yieldopt.wood.lumber import Board, Job, Part


def tiny_job() -> Job:
    """One board and one part: the least that goes through every compiled function."""
    inch = Fraction(1)
    board = Board("B", "any", "4/4", inch, 30 * inch, 5 * inch, inch, cost=inch)
    return Job("tiny", "in", (Part("P", 1, "any", inch / 2, 2 * inch, 16 * inch),), (board,))


def warm() -> None:
    """Load or compile every compiled function that planning uses."""
    from yieldopt.planning.layouts.columns import column_of
    from yieldopt.planning.master.recombine import recombine
    from yieldopt.planning.pricing.context import prepare
    from yieldopt.planning.pricing.sections import Shape
    from yieldopt.workers.serial import Serial

    context = prepare(tiny_job(), Serial(), Shape(), Shape())
    values = context.engine.supply.sum(axis=1)
    layout = context.engine.full[0].price(values, 0.1).layout
    column = column_of(layout, context.stocks, context.items)
    recombine([column], context.need, context.demand, context.stocks, context.items, 1, 1.0, 1.0)
