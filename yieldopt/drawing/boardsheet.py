"""A chalk sheet: one board with all its marks, and the lists that go with it, on one side of paper where they fit."""

from __future__ import annotations

from collections.abc import Iterator

from yieldopt.drawing.boarddrawing import LOW_STRIP, STRIP, draw_stretches, draw_strip, draw_whole
from yieldopt.drawing.cautions import board_cautions
from yieldopt.drawing.endview import draw_end_views
from yieldopt.drawing.flow import Flow
from yieldopt.drawing.legend import draw_legend
from yieldopt.drawing.paper import Paper
from yieldopt.drawing.primitives import Page
from yieldopt.drawing.rings import draw_rings
from yieldopt.drawing.secondpages import board_seconds, shown_pieces
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.sheetcode import code_words, sheet_code
from yieldopt.drawing.sheetlists import blank_list, cut_list, defect_list, note_list
from yieldopt.drawing.waney import line_list
from yieldopt.lumber import Board
from yieldopt.plan import BoardPlan

# Columns of lists below the drawing. Narrower ones would wrap the rows of the cut list.
COLUMNS = 2


def board_sheet(s: Setting, bp: BoardPlan) -> list[Page]:
    """The sheet of one board: one side of paper if it can be, lying or standing; a second side for what finds no room."""
    board = s.board(bp.board)
    if s.paper.height is None:
        return _strip(s, board, bp)
    best: list[Page] = []
    for paper, seconds, strip in _ways(s):
        pages = _side(s, board, bp, paper, seconds, strip)
        if len(pages) == 1:
            return pages
        if not best or len(pages) < len(best):
            best = pages
    return best


def _ways(s: Setting) -> Iterator[tuple[Paper, bool, float]]:
    """The paper, whether second choices are listed, how high narrow strips are drawn: the sheet that serves best first."""
    first, last = (s.paper, s.paper) if s.held else (s.paper.lying, s.paper.standing)
    yield first, True, STRIP
    if last is not first:
        yield last, True, STRIP
    yield last, False, STRIP
    yield last, False, LOW_STRIP


def _side(s: Setting, board: Board, bp: BoardPlan, paper: Paper, seconds: bool, strip: float) -> list[Page]:
    flow = Flow(paper, s.running(board.name, "sheet"), dense=True)
    _head(flow, s, board, bp)
    scale, crowded = draw_whole(flow, s, board, bp, strip)
    draw_legend(flow, s, board, bp)
    flow.in_columns(COLUMNS, lambda f: _to_saw(f, s, board, bp))
    blank_list(flow, s, bp)
    note_list(flow, s, bp)
    draw_end_views(flow, s, board, bp)
    flow.in_columns(COLUMNS, lambda f: _to_look_at(f, s, board, bp, seconds))
    crowded = draw_stretches(flow, s, board, bp, scale, crowded)
    _no_room(flow, crowded)
    return flow.finish()


def _strip(s: Setting, board: Board, bp: BoardPlan) -> list[Page]:
    """The sheet on a narrow screen, which scrolls."""
    flow = Flow(s.paper, s.running(board.name, "sheet"))
    _head(flow, s, board, bp)
    _no_room(flow, draw_strip(flow, s, board, bp))
    draw_legend(flow, s, board, bp)
    _to_saw(flow, s, board, bp)
    blank_list(flow, s, bp)
    note_list(flow, s, bp)
    draw_end_views(flow, s, board, bp)
    _to_look_at(flow, s, board, bp, True)
    return flow.finish()


def _head(flow: Flow, s: Setting, board: Board, bp: BoardPlan) -> None:
    under = sheet_code(flow, s, bp)
    _about(flow, s, board, bp)
    if flow.beside:
        flow.paragraph(code_words(s), 9)
        flow.beside, flow.y = 0.0, max(flow.y, under)


def _to_saw(flow: Flow, s: Setting, board: Board, bp: BoardPlan) -> None:
    cautions = board_cautions(board, bp, s)
    if cautions:
        flow.heading("Mind")
        for text in cautions:
            flow.caution(text)
    cut_list(flow, s, board, bp)
    line_list(flow, s, board, bp)


def _to_look_at(flow: Flow, s: Setting, board: Board, bp: BoardPlan, seconds: bool) -> None:
    draw_rings(flow, s, board, bp)
    if seconds:
        board_seconds(flow, s, bp)
    elif shown_pieces(s, bp):
        flow.paragraph('If a show face opens badly: see the pages "Second choice".', 9)
    defect_list(flow, s, board)


def _no_room(flow: Flow, crowded: list[str]) -> None:
    if crowded:
        flow.paragraph("No room in the drawing, see the lists: " + ", ".join(crowded) + ".", 9)


def board_drawing(s: Setting, bp: BoardPlan) -> list[Page]:
    """The marked board alone, whole, without its lists."""
    board = s.board(bp.board)
    flow = Flow(s.paper, s.running(board.name, "drawing"))
    if s.paper.height is None:
        draw_strip(flow, s, board, bp)
    else:
        draw_whole(flow, s, board, bp)
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
    flow.paragraph(" · ".join(facts + warp), 9.5)
    feed = board.notes.get("feed", "")
    way = "→ " if "far" in feed.lower() else "← " if "datum" in feed.lower() else ""
    feed = f"Planing direction: {way}{feed}." if feed else "Planing direction unknown: try it, then chalk an arrow."
    flow.paragraph(
        f"FACE A UP, datum end at the left. Chalk A and the board's name on the wood before anything else. {feed}", 10, bold=True
    )
    if board.notes.get("note"):
        flow.paragraph(f"Noted of this board: {board.notes['note']}.", 10)
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
