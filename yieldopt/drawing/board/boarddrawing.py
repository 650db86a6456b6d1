"""The marked board: whole in one drawing, stretches of it enlarged where marks lie too close, rows on a narrow screen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from yieldopt.drawing.board.callouts import draw_callouts
from yieldopt.drawing.board.rowdims import LEVEL, STICK, stick_levels, stick_marks
from yieldopt.drawing.board.rowframe import RowFrame
from yieldopt.drawing.board.rowlabels import TEST_STRIP, RowLabels
from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.page.lettering import clean, width_of
from yieldopt.drawing.page.paper import LARGEST_SCALE, OVERLAP, POINTS_PER_INCH, SMALLEST_SCALE, Row, rows_for, scale_for
from yieldopt.drawing.page.primitives import Line, Page, Polygon, Text
from yieldopt.drawing.setting import Setting
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import BoardPlan

# Beside the wood: room for "datum end" at the left, for the last mark's figure at the right.
GUTTER_LEFT, GUTTER_RIGHT = 15.0, 50.0
# What a row needs above and below the wood when its scale is chosen: two levels of figures, the stick, the caption.
OVERHEAD = 2 * LEVEL + STICK + 26
# On a narrow screen, which scrolls, rows are drawn at this share of the reduction at which all would fit on one screen.
LARGER = 0.75
# A whole board takes no more than this share of its page's height, so that the lists stand on the same side.
TALLEST = 0.42
# Widths of a whole board are drawn larger than its lengths where strips would be too low to letter: so that its lowest blank
# or strip takes this many points, but no more than so many times, and the board no more than this share of the page.
STRIP, MOST_WIDER, WIDEST = 30.0, 6, 0.24
# Stretches are enlarged so that the lowest blank in them takes two lines of lettering, in points, but no more than so much.
READABLE, MOST_ENLARGED = 24.0, 4


def draw_whole(flow: Flow, s: Setting, board: Board, bp: BoardPlan, strip: float = STRIP) -> tuple[int, list[str]]:
    """The board in one drawing, as large as the page is wide; the reduction, and what found no room for its name."""
    along = flow.inner_width - GUTTER_LEFT - _gutter(s, board, bp)
    tall = float(max(p.far for p in board.outline) - min(p.near for p in board.outline))
    room = flow.paper.height * TALLEST if flow.paper.height is not None else math.inf
    n = max(float(board.length) * POINTS_PER_INCH / along, tall * POINTS_PER_INCH / room, LARGEST_SCALE)
    scale = math.ceil(n - 1e-9)
    across = min(scale, max(_lowest(bp) * POINTS_PER_INCH / strip, tall * POINTS_PER_INCH / (room * WIDEST / TALLEST)))
    across = min(scale, max(LARGEST_SCALE, math.ceil(scale / MOST_WIDER), math.ceil(across)))
    whole = [Row(0.0, float(board.length), False, False)]
    return scale, _draw_rows(flow, s, board, bp, scale, whole, 0, set(), across)


def _lowest(bp: BoardPlan) -> float:
    """The width of the narrowest blank or kept offcut, in inches."""
    widths = [float(b.width) for b in bp.blanks] + [float(o.width) for o in bp.offcuts if o.kept]
    return min(widths, default=1.0)


def enlargements(bp: BoardPlan, scale: int) -> list[int]:
    """The reductions at which stretches may be drawn again, the largest drawing first."""
    best = max(LARGEST_SCALE, math.ceil(scale / MOST_ENLARGED), min(scale // 2, int(_lowest(bp) * POINTS_PER_INCH / READABLE)))
    return sorted({best, (best + scale) // 2})


def draw_stretches(flow: Flow, s: Setting, board: Board, bp: BoardPlan, larger: int, crowded: Sequence[str]) -> list[str]:
    """The stretches in which cuts or blanks found no room, at the reduction `larger`; what finds none there either."""
    along = flow.inner_width - GUTTER_LEFT - _gutter(s, board, bp)
    done = set(_to_name(bp)) - set(crowded)
    rows = stretches(_spans(bp, crowded), float(board.length), along * larger / POINTS_PER_INCH)
    flow.heading("Enlarged, where marks lie close", keep=90)
    left = _draw_rows(flow, s, board, bp, larger, rows, 1, done)
    return [n for n in crowded if n in left]


def stretches(spans: Sequence[tuple[float, float]], length: float, capacity: float) -> list[Row]:
    """The fewest rows of at most `capacity` inches, taken from the datum end, in which all spans are shown whole or in parts."""
    rows: list[Row] = []
    if capacity <= 4 * OVERLAP:
        return rows
    for low, high in sorted(spans):
        at = max(low, rows[-1].end - OVERLAP if rows else 0.0)
        while not rows or rows[-1].end < min(high, length) - 1e-9:
            start = max(0.0, min(math.floor((at - OVERLAP) * 8) / 8, length - capacity))
            # Rows end on a mark of the tape, the last one with the board.
            end = length if start + capacity >= length - 1e-9 else start + math.floor(capacity * 8) / 8
            rows.append(Row(start, end, start > 0, end < length))
            at = end
    return rows


def _spans(bp: BoardPlan, names: Sequence[str]) -> list[tuple[float, float]]:
    """From where to where along the board what is named lies."""
    wanted = set(names)
    found = [(c.start, c.end) for c in bp.cuts if c.kind == "rip" and c.stage == "rough" and f"cut {c.order}" in wanted]
    found += [(b.x, b.x + b.length) for b in bp.blanks if b.blank in wanted]
    found += [(p.x, p.x + p.length) for p in bp.pieces if p.piece in wanted]
    found += [(o.x, o.x + o.length) for o in bp.offcuts if o.offcut in wanted]
    if bp.stress_strip is not None and TEST_STRIP in wanted:
        found.append((bp.stress_strip.x, bp.stress_strip.x + bp.stress_strip.length))
    return [(float(a), float(b)) for a, b in found]


def draw_strip(flow: Flow, s: Setting, board: Board, bp: BoardPlan) -> list[str]:
    """The board in rows below each other, for a narrow screen; what found no room for its name."""
    along = flow.inner_width - GUTTER_LEFT - _gutter(s, board, bp)
    low, high = float(min(p.near for p in board.outline)), float(max(p.far for p in board.outline))
    crosscuts = sorted({float(c.at) for c in bp.cuts if c.stage == "rough" and c.kind == "crosscut"})
    scale, _ = scale_for(float(board.length), high - low, crosscuts, along, 1400.0, OVERHEAD, 8)
    larger = max(LARGEST_SCALE, math.ceil(scale * LARGER))
    rows = rows_for(float(board.length), along * larger / POINTS_PER_INCH, crosscuts)
    return _draw_rows(flow, s, board, bp, larger, rows, 0, set())


def _draw_rows(
    flow: Flow,
    s: Setting,
    board: Board,
    bp: BoardPlan,
    scale: int,
    rows: Sequence[Row],
    first: int,
    named: set[str],
    across: int | None = None,
) -> list[str]:
    """Draw the rows at one scale, numbered from `first`; what is not `named` and found no room for its name."""
    tall = float(max(p.far for p in board.outline) - min(p.near for p in board.outline))
    wider = across is not None and across != scale
    scales = f"lengths 1 : {scale}, widths 1 : {across}" if wider else f"scale 1 : {scale}"
    for index, row in enumerate(rows, first):
        probe = RowFrame(s, board, bp, row, scale, flow.page, flow.left + GUTTER_LEFT, 0, index)
        above = stick_levels(probe) * LEVEL + STICK + 9
        flow.need(above + tall * POINTS_PER_INCH / (across or scale) + 18)
        frame = RowFrame(s, board, bp, row, scale, flow.page, flow.left + GUTTER_LEFT, flow.y + above, index, across)
        frame.draw()
        labels = RowLabels(frame)
        labels.draw()
        _ends(flow, frame)
        below = flow.bottom - frame.bottom - 24
        called, deep = draw_callouts(frame, labels.unnamed(named), labels.lettered, below)
        base = frame.bottom + 12 + deep
        on = " · continued" if row.broken_after else ""
        again = " · overlaps the row before" if row.broken_before and first == 0 else ""
        ends = [s.main(Fraction(v).limit_denominator(64 * 1270)) for v in (row.start, row.end)]
        text = f"near edge · {ends[0]} to {ends[1]} {s.job.units}{again}{on} · {scales}"
        short = f"near edge · {ends[0]} to {ends[1]} {s.job.units} · {scales}"
        room = flow.right - frame.left
        flow.page.add(Text(frame.left, base, text if width_of(clean(text), 9) <= room else short, 9, role="caption"))
        flow.y = base + 5
        named = named | labels.named | called
    return [n for n in _to_name(bp) if n not in named]


def _gutter(s: Setting, board: Board, bp: BoardPlan) -> float:
    """Room to the right of the wood: the widest figure may stand at its last inch."""
    probe = RowFrame(s, board, bp, Row(0.0, float(board.length), False, False), SMALLEST_SCALE, Page(0, 0, ""), 0, 0, 0)
    return max(GUTTER_RIGHT, *(m.width + 4 for m in stick_marks(probe)))


def _to_name(bp: BoardPlan) -> list[str]:
    rips = [f"cut {c.order}" for c in bp.cuts if c.stage == "rough" and c.kind == "rip"]
    strip = [TEST_STRIP] if bp.stress_strip is not None else []
    kept = [o.offcut for o in bp.offcuts if o.kept]
    return [*rips, *strip, *(b.blank for b in bp.blanks), *(p.piece for p in bp.pieces), *kept]


def _ends(flow: Flow, frame: RowFrame) -> None:
    middle = (frame.top + frame.bottom) / 2
    tall = frame.bottom - frame.top
    if not frame.row.broken_before:
        text = "DATUM END" if tall > width_of("DATUM END", 9, True) + 4 else "DATUM" if tall > 36 else "D"
        flow.page.add(
            Text(frame.left - 5, middle, text, 9, True, "middle", turned=tall > 36, role="datum")
            if tall > 36
            else Text(frame.left - 4, middle + 3, text, 9, True, "end", role="datum")
        )
        flow.page.add(
            Polygon(
                ((frame.left - 4, frame.bottom + 5), (frame.left, frame.bottom + 1), (frame.left + 4, frame.bottom + 5)), 0, 0.0
            ),
            Line(frame.left, frame.top - 2, frame.left, frame.bottom + 2, 2.6, role="datum-line"),
        )
    if not frame.row.broken_after and tall > 44:
        flow.page.add(Text(frame.right + 12, middle, "far end", 9, False, "middle", turned=True, role="far-end"))
