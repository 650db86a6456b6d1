"""A chalk sheet: one board with all its marks, and the lists that go with it, on one side of paper where they fit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from yieldopt.drawing.board.boarddrawing import STRIP, draw_stretches, draw_strip, draw_whole, enlargements
from yieldopt.drawing.board.endview import draw_end_views
from yieldopt.drawing.board.legend import draw_legend
from yieldopt.drawing.board.rings import draw_rings
from yieldopt.drawing.board.secondpages import SURPRISES, board_seconds, defect_list, shown_pieces
from yieldopt.drawing.board.sheetcode import code_words, sheet_code
from yieldopt.drawing.board.sheetlists import blank_list, cut_list, later_list, note_list
from yieldopt.drawing.board.thumbnail import draw_small
from yieldopt.drawing.board.waney import line_list
from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.page.paper import Paper
from yieldopt.drawing.page.primitives import Page
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.cautions import board_cautions
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import BoardPlan

# Columns of lists below the drawing. Narrower ones would wrap the rows of the cut list.
COLUMNS = 2
# More cuts than this, with their lists, never fit below a drawing on paper that lies.
FEW_CUTS = 8
# Where the lists need the room, the narrowest strip is drawn so high, in points: the first that leaves enough is taken. A
# lower one is not always better: what finds no room in it is drawn again, enlarged.
LESS_ROOM = (STRIP, 38.0, 24.0, 20.0)


@dataclass(frozen=True)
class Sheet:
    """A board's pages, and whether they say too what other pages can say: its flaws in figures, its second choices."""

    pages: list[Page]
    whole: bool


def board_sheet(s: Setting, bp: BoardPlan) -> list[Page]:
    """The pages of `sheet_of`."""
    return sheet_of(s, bp).pages


def sheet_of(s: Setting, bp: BoardPlan) -> Sheet:
    """The sheet of one board: one side of paper if it can be, lying or standing; a second side for what finds no room."""
    board = s.board(bp.board)
    if s.paper.height is None:
        return Sheet(_strip(s, board, bp), True)
    best: Sheet | None = None
    for way in _ways(s, bp):
        pages = _side(s, board, bp, way)
        if best is None or (len(pages), not way.whole) < (len(best.pages), not best.whole):
            best = Sheet(pages, way.whole)
        if len(pages) == 1:
            break
    assert best is not None
    return best


@dataclass(frozen=True)
class _Way:
    """One way to fill a sheet."""

    paper: Paper
    # Whether flaws in figures and second choices are listed.
    whole: bool = True
    # How high the narrowest strip is drawn, in points.
    strip: float = STRIP
    # Whether the legend shows every way of drawing, or names the parts only.
    samples: bool = True


def _ways(s: Setting, bp: BoardPlan) -> Iterator[_Way]:
    """The way that serves best first: lying, where the drawing is largest; standing, where more lists find room."""
    first, last = (s.paper, s.paper) if s.held else (s.paper.lying, s.paper.standing)
    if last is not first and len(bp.cuts) <= FEW_CUTS:
        yield _Way(first)
    yield _Way(last)
    yield _Way(last, False)
    for strip in LESS_ROOM:
        yield _Way(last, False, strip, False)
    # Two sides it has to be: then all of it.
    for strip in LESS_ROOM[-2:]:
        yield _Way(last, True, strip, False)


def _side(s: Setting, board: Board, bp: BoardPlan, way: _Way) -> list[Page]:
    paper, whole = way.paper, way.whole
    flow = Flow(paper, s.running(board.name, "sheet"), dense=True)
    _head(flow, s, board, bp, way.samples)
    scale, crowded = draw_whole(flow, s, board, bp, way.strip)
    draw_legend(flow, s, board, bp, way.samples)
    flow.in_columns(COLUMNS, lambda f: _to_saw(f, s, board, bp))
    blank_list(flow, s, bp)
    later_list(flow, s, board, bp)
    note_list(flow, s, bp)
    draw_end_views(flow, s, board, bp)
    draw_rings(flow, s, board, bp)
    if whole:
        board_seconds(flow, s, bp)
        defect_list(flow, s, board)
    elif board.defects or shown_pieces(s, bp):
        flow.paragraph(f'Flaws in figures, and other places for show pieces: see "{SURPRISES}".', 9)
    _enlarged(flow, s, board, bp, scale, crowded)
    return flow.finish()


def _enlarged(flow: Flow, s: Setting, board: Board, bp: BoardPlan, scale: int, crowded: list[str]) -> None:
    """What was too crowded in the drawing, enlarged where the second side has room; the names that stand in lists only."""
    # Pieces stand in the list of blanks too: for them alone no other side is begun.
    if crowded and (len(flow.pages) > 1 or not set(crowded) <= {p.piece for p in bp.pieces}):
        start = flow.mark()
        for larger in enlargements(bp, scale):
            left = draw_stretches(flow, s, board, bp, larger, crowded)
            _no_room(flow, left)
            if len(flow.pages) <= 2:
                return
            flow.back_to(start)
    _no_room(flow, crowded)


def _strip(s: Setting, board: Board, bp: BoardPlan) -> list[Page]:
    """The sheet on a narrow screen, which scrolls."""
    flow = Flow(s.paper, s.running(board.name, "sheet"))
    _head(flow, s, board, bp)
    draw_small(flow, s, bp)
    _no_room(flow, draw_strip(flow, s, board, bp))
    draw_legend(flow, s, board, bp)
    _to_saw(flow, s, board, bp)
    blank_list(flow, s, bp)
    later_list(flow, s, board, bp)
    note_list(flow, s, bp)
    draw_end_views(flow, s, board, bp)
    draw_rings(flow, s, board, bp)
    board_seconds(flow, s, bp)
    defect_list(flow, s, board)
    return flow.finish()


def _head(flow: Flow, s: Setting, board: Board, bp: BoardPlan, words: bool = True) -> None:
    under = sheet_code(flow, s, bp)
    _about(flow, s, board, bp)
    if flow.beside:
        if words:
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
        flow.paragraph(f"Noted of this board: {board.notes['note']}.", 9)
    if board.edges:
        flow.paragraph(
            "The board wanders: snap a line along it as logged; across the board everything is measured from that line "
            "(dash and dot on the drawing). Where it and every rip lie on the wood stands in a list below.",
            9,
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
