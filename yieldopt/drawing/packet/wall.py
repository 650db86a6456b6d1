"""The wall sheet: every board of the job whole and to one scale on one page, or two: pieces by their numbers, sets by tint and
pattern."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from yieldopt.drawing.board.thumbnail import NAMED, draw_board, draw_numbers, height_of
from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.page.lettering import shorten, width_of
from yieldopt.drawing.page.paper import POINTS_PER_INCH, Paper
from yieldopt.drawing.page.primitives import Hatch, Page, Rect, Text
from yieldopt.drawing.setting import Setting
from yieldopt.wood.plan import BoardPlan

# Between columns.
GAP = 16.0
# Up to here all boards go on one page; beyond, numbers could not be read on it.
ON_ONE_PAGE = 30
MOST_COLUMNS = 4
KEY_LINE, SWATCH = 13.0, 22.0


def wall_pages(s: Setting, paper: Paper | None = None) -> list[Page]:
    """The sheet, on `paper` if it is to be another than the packet's; nothing on a narrow screen or where nothing is cut."""
    paper = paper or s.paper
    plans = list(s.plan.boards)
    if paper.height is None or not plans:
        return []
    paper = paper if s.held else paper.lying
    share = plans if len(plans) <= ON_ONE_PAGE else plans[: (len(plans) + 1) // 2]
    parts = [share, plans[len(share) :]] if len(share) < len(plans) else [share]
    flow = Flow(paper, replace(s.running("All boards", "wall"), title="All boards"))
    below = _key_height(s, flow)
    ways = [_columns(s, part, flow.inner_width, flow.room - below) for part in parts]
    points = min(points for points, _ in ways)
    for n, (part, (_, count)) in enumerate(zip(parts, ways, strict=True)):
        if n:
            flow.new_page()
        _draw(flow, s, part, points, count, below)
    _key(flow, s, points, below)
    return flow.finish()


def _columns(s: Setting, plans: Sequence[BoardPlan], wide: float, tall: float) -> tuple[float, int]:
    """(points an inch, columns) at which the boards are drawn largest."""
    boards = [s.board(bp.board) for bp in plans]
    longest = max(float(b.length) for b in boards)
    best = (0.0, 1)
    for count in range(1, MOST_COLUMNS + 1):
        points = (wide - (count - 1) * GAP) / count / longest
        while points > 0.05 and not _fits([height_of(b, points) + NAMED for b in boards], count, tall):
            points *= 0.97
        best = max(best, (points, count))
    return best


def _fits(heights: Sequence[float], count: int, tall: float) -> bool:
    columns, y = 1, 0.0
    for h in heights:
        if y + h > tall:
            columns, y = columns + 1, 0.0
        y += h
    return columns <= count


def _draw(flow: Flow, s: Setting, plans: Sequence[BoardPlan], points: float, count: int, below: float) -> None:
    top, bottom = flow.y, flow.bottom - below
    wide = (flow.inner_width - (count - 1) * GAP) / count
    x, y = flow.left, top
    for bp in plans:
        board = s.board(bp.board)
        height = height_of(board, points) + NAMED
        if y + height > bottom and y > top:
            x, y = x + wide + GAP, top
        place = board.notes.get("place", "")
        about = f"{board.species} {board.quarters}, {s.size(board.length, board.greatest_width)}{', ' if place else ''}{place}"
        flow.page.add(Text(x, y + 9, shorten(bp.board, wide * 0.4, 9, True), 9, True, role="wall-name"))
        at = x + width_of(shorten(bp.board, wide * 0.4, 9, True), 9, True) + 6
        flow.page.add(Text(at, y + 9, shorten(about, x + wide - at, 9), 9))
        draw_board(flow.page, s, bp, x, y + NAMED, points, patterns=True)
        draw_numbers(flow.page, s, bp, x, y + NAMED, points)
        y += height
    flow.y = bottom


def _items(s: Setting) -> list[tuple[str, str]]:
    """(set or empty, what is lettered) of the key: parts by their number, then sets."""
    placed = dict.fromkeys(p.part for _, p in s.plan.pieces())
    parts = [("", f"{s.part_numbers[name]} {name}") for name in sorted(placed, key=lambda n: s.part_numbers[n])]
    return parts + [(name, name) for name in s.looks]


def _laid(s: Setting, flow: Flow) -> list[list[tuple[str, str]]]:
    lines: list[list[tuple[str, str]]] = [[]]
    used = 0.0
    for name, text in _items(s):
        text = shorten(text, flow.inner_width * 0.3, 9)
        wide = width_of(text, 9) + 10 + (SWATCH + 4 if name else 0)
        if used + wide > flow.inner_width and lines[-1]:
            lines.append([])
            used = 0.0
        lines[-1].append((name, text))
        used += wide
    return lines


def _key_height(s: Setting, flow: Flow) -> float:
    return (len(_laid(s, flow)) + 1) * KEY_LINE + 4


def _key(flow: Flow, s: Setting, points: float, below: float) -> None:
    """What the numbers, tints and patterns stand for."""
    y = flow.bottom - below + 4
    scale = (
        f"All boards 1 : {POINTS_PER_INCH / points:.1f}, face A up, datum end at the left. Red: defects. Dashed: kept offcuts."
    )
    flow.page.add(Text(flow.left, y + 9, shorten(scale, flow.inner_width, 9), 9, role="wall-scale"))
    for line in _laid(s, flow):
        y += KEY_LINE
        x = flow.left
        for name, text in line:
            look = s.looks.get(name) if name else None
            if look:
                corners = ((x, y), (x + SWATCH, y), (x + SWATCH, y + 10), (x, y + 10))
                flow.page.add(Rect(x, y, SWATCH, 10, 0.5, 1.0, tint=look.tint), Hatch(corners, look.angle, look.gap, 0.25))
                x += SWATCH + 4
            flow.page.add(Text(x, y + 9, text, 9, role="wall-key"))
            x += width_of(text, 9) + 10
