"""One blank by itself: may it lie there, with these pieces in it? For places that no cut of the plan has freed yet."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from yieldopt.checking.context import RULES, Context
from yieldopt.checking.finding import Finding
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Blank, BoardPlan, Piece, Plan, Totals

# What can be said of a blank without its cuts and its neighbours: its place on the board, the machines' limits, its pieces'
# sizes, wood and thickness, the defects that it meets.
OF_ONE_BLANK = frozenset({201, 202, *range(301, 309), 310, *range(401, 409), 410, 501, 502})


def check_blank(job: Job, board: str, blank: Blank, pieces: Sequence[Piece]) -> tuple[Finding, ...]:
    """Breaches of the rules about one blank on `board` that holds `pieces`, as if nothing else were cut from it."""
    cut = BoardPlan(board, Fraction(0), Fraction(0), (), (blank,), tuple(pieces))
    context = Context(job, Plan(job.name, job.units, (cut,), (), Totals(0.0, None, None, 0.0, 1, 0.0)))
    found = (f for codes, rule in RULES if OF_ONE_BLANK.intersection(codes) for f in rule(context))
    return tuple(sorted((f for f in found if f.code in OF_ONE_BLANK), key=lambda f: f.code))
