"""A whole board in the small, to one scale with its neighbours: outline, blanks, sets by tint and pattern, defects in red."""

from __future__ import annotations

from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.page.lettering import width_of
from yieldopt.drawing.page.placing import Box, overlap
from yieldopt.drawing.page.primitives import Hatch, Page, Point, Polygon, Rect, Text
from yieldopt.drawing.page.tints import RED
from yieldopt.drawing.setting import Setting
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import BoardPlan, Placed

# Above each board: its name.
NAMED = 12.0
# Between two numbers at least, lest 19 beside 19 be read as 1919.
APART = 3.0


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


def draw_numbers(page: Page, s: Setting, bp: BoardPlan, left: float, top: float, points: float) -> None:
    """The number of its part on each piece; on strips lower than the figures, beside those of its neighbours."""
    board = s.board(bp.board)
    taken: list[Box] = []
    done = set()
    for p in bp.pieces:
        place = (p.x, p.y, p.length, p.width)
        if place in done:
            continue
        done.add(place)
        x, y, w, h = box_in(p, board, left, top, points)
        number = str(s.part_numbers[p.part])
        wide, base = width_of(number, 9, True), y + h / 2 + 3.2
        if base - 7.4 < top - 2:
            base = top + 5.4
        steps = max(1, int((w - wide) / 4)) if w > wide else 1
        for n in range(steps):
            at = x + max(0.5, (w - wide) / 2) + (n + 1) // 2 * 4 * (1 if n % 2 else -1)
            box = (at, base - 7.4, at + wide, base + 2.2)
            if at < x or (at + wide > x + w and w > wide) or any(overlap(box, b, APART) for b in taken):
                continue
            taken.append(box)
            page.add(Rect(at - 0.5, base - 6.6, wide + 1, 7.0, 0, 1.0, role="backing"))
            page.add(Text(at, base, number, 9, True, role="wall-number", data=(("name", p.piece),)))
            break


def draw_small(flow: Flow, s: Setting, bp: BoardPlan) -> None:
    """One board whole, as wide as the flow, as on the wall sheet: on a narrow screen, which shows its rows below."""
    board = s.board(bp.board)
    points = flow.inner_width / float(board.length)
    height = height_of(board, points)
    flow.need(height + NAMED)
    draw_board(flow.page, s, bp, flow.left, flow.y + NAMED / 2, points, patterns=True)
    draw_numbers(flow.page, s, bp, flow.left, flow.y + NAMED / 2, points)
    flow.y += height + NAMED
