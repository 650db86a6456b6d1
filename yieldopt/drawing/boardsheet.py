"""A chalk sheet: one board with all its marks, and the lists that go with it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from yieldopt.drawing.callouts import draw_callouts
from yieldopt.drawing.cautions import board_cautions
from yieldopt.drawing.endview import draw_end_views
from yieldopt.drawing.flow import Flow
from yieldopt.drawing.legend import draw_key, draw_legend
from yieldopt.drawing.lettering import clean, width_of
from yieldopt.drawing.paper import LARGEST_SCALE, POINTS_PER_INCH, SMALLEST_SCALE, Row, rows_for, scale_for
from yieldopt.drawing.primitives import Line, Page, Polygon, Text
from yieldopt.drawing.rings import draw_rings
from yieldopt.drawing.rowdims import LEVEL, STICK, stick_levels, stick_marks
from yieldopt.drawing.rowframe import RowFrame
from yieldopt.drawing.rowlabels import TEST_STRIP, RowLabels
from yieldopt.drawing.secondpages import board_seconds
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.sheetcode import code_words, sheet_code
from yieldopt.drawing.sheetlists import blank_list, cut_list, defect_list, piece_list
from yieldopt.drawing.waney import line_list
from yieldopt.lumber import Board
from yieldopt.plan import BoardPlan

# Beside the wood: room for "datum end" at the left, for the last mark's figure at the right.
GUTTER_LEFT, GUTTER_RIGHT = 15.0, 50.0
# What a row needs above and below the wood when its scale is chosen: two levels of figures, the stick, the caption.
OVERHEAD = 2 * LEVEL + STICK + 26
# Where names find no room the drawing is tried at these shares of the reduction, down to the least that still helps.
LARGER = (1.0, 0.75, 0.55)
SMALLEST_WORTH = 4
# A strip drawn lower than this takes no lettering, in points.
LOWEST_STRIP = 10.8


def board_sheet(s: Setting, bp: BoardPlan) -> list[Page]:
    """The sheet of one board: one page, or more where its lists need them."""
    board = s.board(bp.board)
    flow = Flow(s.paper, s.running(board.name, "sheet"))
    under = sheet_code(flow, s, bp)
    _about(flow, s, board, bp)
    if flow.beside:
        flow.paragraph(code_words(s), 9)
        flow.beside, flow.y = 0.0, max(flow.y, under)
    _rows(flow, s, board, bp)
    draw_key(flow, s, bp)
    draw_legend(flow)
    cautions = board_cautions(board, bp, s)
    if cautions:
        flow.heading("Mind")
        for text in cautions:
            flow.caution(text)
    draw_end_views(flow, s, board, bp)
    draw_rings(flow, s, board, bp)
    line_list(flow, s, board, bp)
    cut_list(flow, s, board, bp)
    blank_list(flow, s, bp)
    piece_list(flow, s, bp)
    board_seconds(flow, s, bp)
    defect_list(flow, s, board)
    return flow.finish()


def board_drawing(s: Setting, bp: BoardPlan) -> list[Page]:
    """The marked board alone, without its lists."""
    board = s.board(bp.board)
    flow = Flow(s.paper, s.running(board.name, "drawing"))
    _rows(flow, s, board, bp)
    return flow.finish()


def _about(flow: Flow, s: Setting, board: Board, bp: BoardPlan) -> None:
    sawn = f"{board.sawn}sawn" if board.sawn == "flat" else f"{board.sawn} sawn" if board.sawn else "sawing not known"
    facts = [
        board.species,
        board.quarters,
        f"{s.main(board.length)} long ({s.beside(board.length)})",
        f"{s.main(board.greatest_width)} wide ({s.beside(board.greatest_width)})",
        f"{s.main(board.thickness)} thick ({s.beside(board.thickness)})",
        sawn,
        f"stress {board.stress}",
    ]
    warp = [
        f"{name} {s.main(v)}"
        for name, v in (("bow", board.bow), ("cup", board.cup), ("crook", board.crook), ("twist", board.twist))
        if v
    ]
    flow.paragraph(" · ".join(facts + warp), 10)
    feed = board.notes.get("feed", "")
    way = "→ " if "far" in feed.lower() else "← " if "datum" in feed.lower() else ""
    feed = f"Planing direction: {way}{feed}." if feed else "Planing direction unknown: try it, then chalk an arrow."
    flow.paragraph(
        f"FACE A UP, datum end at the left. Chalk A and the board's name on the wood before anything else. {feed}", 10, bold=True
    )
    if board.edges:
        flow.paragraph(
            "The board wanders: snap a line along it as logged; across the board everything is measured from that line "
            "(dash and dot on the drawing). Where it and every rip lie on the wood stands in a list below.",
            10,
        )
    if s.plan.revision > 1:
        flow.paragraph(
            f"Revision {s.plan.revision}: strike out with a zigzag every chalk line that is not on this sheet, and put an arrow "
            "on each that counts.",
            10,
            bold=True,
        )
    if any(c.state == "done" for c in bp.cuts):
        flow.paragraph("Cuts already made are struck out and hollow; what is finished stays.", 10, bold=True)


def _rows(flow: Flow, s: Setting, board: Board, bp: BoardPlan) -> None:
    """The drawing, as large as one page takes; larger on more pages where that leaves fewer names without room."""
    along = flow.paper.inner_width - GUTTER_LEFT - _gutter(s, board, bp)
    low, high = float(min(p.near for p in board.outline)), float(max(p.far for p in board.outline))
    crosscuts = sorted({float(c.at) for c in bp.cuts if c.stage == "rough" and c.kind == "crosscut"})
    down, most = (flow.room - 64, 4) if flow.paper.height is not None else (1400.0, 8)
    scale, rows = scale_for(float(board.length), high - low, crosscuts, along, down, OVERHEAD, most)
    start = flow.mark()
    lowest = min((float(b.width) for b in bp.blanks), default=1.0) * POINTS_PER_INCH / LOWEST_STRIP
    tried: list[tuple[int, int, list[Row], list[str]]] = []
    # A screen scrolls: there the drawing is large from the first.
    for share in LARGER if flow.paper.height is not None else LARGER[1:2]:
        larger = max(LARGEST_SCALE, math.ceil(scale * share))
        if tried and (larger == tried[-1][1] or larger < SMALLEST_WORTH):
            break
        # Strips too low for any lettering: there is no need to draw them to know.
        if not tried and larger > lowest and share == LARGER[0]:
            continue
        if tried:
            flow.back_to(start)
        if larger != scale:
            rows = rows_for(float(board.length), along * larger / POINTS_PER_INCH, crosscuts)
        crowded = _draw_rows(flow, s, board, bp, larger, rows)
        if not crowded:
            return
        tried.append((len(crowded), larger, rows, crowded))
    _, larger, rows, crowded = min(tried, key=lambda t: t[0])
    if larger != tried[-1][1]:
        flow.back_to(start)
        _draw_rows(flow, s, board, bp, larger, rows)
    flow.paragraph("No room in the drawing, see the lists: " + ", ".join(crowded) + ".", 9)


def _draw_rows(flow: Flow, s: Setting, board: Board, bp: BoardPlan, scale: int, rows: Sequence[Row]) -> list[str]:
    """Draw the rows at one scale; what found no room for its name."""
    tall = float(max(p.far for p in board.outline) - min(p.near for p in board.outline))
    named: set[str] = set()
    for index, row in enumerate(rows):
        probe = RowFrame(s, board, bp, row, scale, flow.page, flow.left + GUTTER_LEFT, 0, index)
        above = stick_levels(probe) * LEVEL + STICK + 9
        flow.need(above + tall * probe.points + 18)
        frame = RowFrame(s, board, bp, row, scale, flow.page, flow.left + GUTTER_LEFT, flow.y + above, index)
        frame.draw()
        labels = RowLabels(frame)
        labels.draw()
        _ends(flow, frame)
        below = flow.bottom - frame.bottom - 24
        called, deep = draw_callouts(frame, labels.unnamed(named), labels.lettered, below)
        base = frame.bottom + 12 + deep
        on = " · continued" if row.broken_after else ""
        again = " · overlaps the row before" if row.broken_before else ""
        ends = [s.main(Fraction(v).limit_denominator(64 * 1270)) for v in (row.start, row.end)]
        text = f"near edge · {ends[0]} to {ends[1]} {s.job.units}{again}{on} · scale 1 : {scale}"
        short = f"near edge · {ends[0]} to {ends[1]} {s.job.units} · scale 1 : {scale}"
        room = flow.right - frame.left
        flow.page.add(Text(frame.left, base, text if width_of(clean(text), 9) <= room else short, 9, role="caption"))
        flow.y = base + 5
        named |= labels.named | called
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
