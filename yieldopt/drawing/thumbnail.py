"""A whole board in the small, to one scale with its neighbours: outline, blanks, sets by tint and pattern, defects in red."""

from __future__ import annotations

from yieldopt.drawing.primitives import Hatch, Page, Point, Polygon, Rect
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.tints import RED
from yieldopt.lumber import Board
from yieldopt.plan import BoardPlan, Placed

Box = tuple[float, float, float, float]


def height_of(board: Board, points: float) -> float:
    """How high a board is drawn at so many points an inch."""
    return float(max(p.far for p in board.outline) - min(p.near for p in board.outline)) * points


def box_in(o: Placed, board: Board, left: float, top: float, points: float, wider: float = 1.0) -> Box:
    """(left, top, width, height) on the page of what lies on the board; widths are drawn `wider` times as large."""
    high = float(max(p.far for p in board.outline))
    down = points * wider
    y = top + (high - float(o.y + o.width)) * down
    return left + float(o.x) * points, y, float(o.length) * points, float(o.width) * down


def draw_board(
    page: Page, s: Setting, bp: BoardPlan, left: float, top: float, points: float, wider: float = 1.0, patterns: bool = False
) -> None:
    """The board with its left top corner at (left, top)."""
    board = s.board(bp.board)
    high, down = float(max(p.far for p in board.outline)), points * wider
    far: list[Point] = [(left + float(p.x) * points, top + (high - float(p.far)) * down) for p in board.outline]
    near: list[Point] = [(left + float(p.x) * points, top + (high - float(p.near)) * down) for p in reversed(board.outline)]
    page.add(Polygon((*far, *near), 0.8, 1.0, role="wall-board", data=(("name", bp.board),)))
    if patterns:
        page.add(Hatch((*far, *near), 45, 5, 0.25))
    drawn = set()
    for b in bp.blanks:
        page.add(Rect(*box_in(b, board, left, top, points, wider), 0.7, 1.0, role="wall-blank", data=(("name", b.blank),)))
    for p in bp.pieces:
        place = (p.x, p.y, p.length, p.width)
        if place in drawn:
            continue
        drawn.add(place)
        x, y, w, h = box_in(p, board, left, top, points, wider)
        look = s.looks.get(p.set or "")
        page.add(Rect(x, y, w, h, 0.5, 1.0, role="wall-piece", data=(("name", p.piece),), tint=look.tint if look else ""))
        if look and patterns:
            page.add(Hatch(((x, y), (x + w, y), (x + w, y + h), (x, y + h)), look.angle, look.gap, 0.25))
    for o in bp.offcuts:
        if o.kept:
            page.add(Rect(*box_in(o, board, left, top, points, wider), 0.7, 1.0, (4, 2), role="wall-offcut"))
    for d in board.defects:
        page.add(Rect(*box_in(d, board, left, top, points, wider), 0.8, None, role="wall-defect", ink=RED))
