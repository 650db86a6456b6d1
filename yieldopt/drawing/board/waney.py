"""Lines on a wandering board, and edges that no rip frees: what a person needs to snap the one and joint the other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from yieldopt.drawing.page.flow import Column, Flow
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.gathered import blanks_words
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import Blank, BoardPlan

# A plan's figures come from JSON numbers: below this, in inches, two are one.
HAIR = Fraction(1, 1_000_000)


def line_list(flow: Flow, s: Setting, board: Board, bp: BoardPlan) -> None:
    """How far in from its edges the snapped line lies where the board was measured, and each rip at both its ends."""
    if not board.edges:
        return
    flow.heading("Where the lines lie on the wood")
    flow.paragraph(
        "The snapped line, and each rip: so far in from the near edge, at so far from the datum end.",
        9,
    )
    columns = [
        Column("line", True, whole=True),
        Column("at", whole=True),
        Column("in", True, whole=True),
        Column("at", whole=True),
        Column("in", True, whole=True),
    ]
    flow.table(columns, s.rows("lines", board.name, lambda: _line_rows(s, board, bp)))


def _line_rows(s: Setting, board: Board, bp: BoardPlan) -> list[tuple[str, ...]]:
    """(line, at, in from the near edge, and the same again): two marks of a line to a row."""
    marks = [("line", [_mark(s, board, p.x, Fraction(0)) for p in board.edges])]
    for cut in sorted(bp.cuts, key=lambda c: c.order):
        span = on_wood(board, cut.at, cut.start, cut.end) if (cut.stage, cut.kind) == ("rough", "rip") else None
        if span is not None:
            marks.append((f"cut {cut.order}", [_mark(s, board, x, cut.at) for x in span]))
    return [(what, *_two(some[n : n + 2])) for what, some in marks for n in range(0, len(some), 2)]


def _two(marks: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    (a, b), (c, d) = (*marks, ("", ""))[:2]
    return a, b, c, d


def _mark(s: Setting, board: Board, x: Fraction, y: Fraction) -> tuple[str, str]:
    """How far from the datum end, and how far in from the near edge."""
    near, far = board.channel(x, x)
    if not near <= y <= far:
        return s.mark(x), f"{s.mark(near - y if y < near else y - far)} off the wood"
    return s.mark(x), s.mark(y - near)


def on_wood(board: Board, y: Fraction, start: Fraction, end: Fraction) -> tuple[Fraction, Fraction] | None:
    """The first and the last place from `start` to `end` where a line along the board at `y` lies on its wood."""
    stops = {max(start, Fraction(0)), min(end, board.length), *(p.x for p in board.outline if start < p.x < end)}
    for a, b in pairwise(board.outline):
        for ya, yb in ((a.near, b.near), (a.far, b.far)):
            if (ya - y) * (yb - y) < 0:
                stops.add(a.x + (b.x - a.x) * (y - ya) / (yb - ya))
    there = [x for x in sorted(stops) if start <= x <= end and board.channel(x, x)[0] <= y <= board.channel(x, x)[1]]
    return (there[0], there[-1]) if there else None


def edge_notes(bp: BoardPlan) -> list[str]:
    """What to do with edges that lie at the board's own: no rip is made there."""
    notes = []
    for side, own in (("near", _own_near), ("far", _own_far)):
        blanks = [b.blank for b in bp.blanks if own(bp, b)]
        if blanks:
            notes.append(f"No rip along the board's own {side} edge, plane (joint) to it: {blanks_words(blanks)}.")
    return notes


def _own_near(bp: BoardPlan, b: Blank) -> bool:
    return not any(at + kerf <= b.y + HAIR for at, kerf in _rips_along(bp, b))


def _own_far(bp: BoardPlan, b: Blank) -> bool:
    return not any(at >= b.y + b.width - HAIR for at, _ in _rips_along(bp, b))


def _rips_along(bp: BoardPlan, b: Blank) -> Iterator[tuple[Fraction, Fraction]]:
    """Place and kerf of every rough rip that passes a blank."""
    for c in bp.cuts:
        if (c.stage, c.kind) == ("rough", "rip") and c.start < b.x + b.length and b.x < c.end:
            yield c.at, c.kerf
