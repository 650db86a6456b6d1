"""What each way of drawing means, and which part each ringed number stands for: below every drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.page.lettering import shorten, width_of
from yieldopt.drawing.page.marks import RING_PAD, face_mark, grain_arrow, ring
from yieldopt.drawing.page.primitives import Hatch, Line, Mark, Rect, Text
from yieldopt.drawing.page.tints import RED
from yieldopt.drawing.setting import Setting
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import BoardPlan

LINE, BOX_WIDTH, BOX_HEIGHT = 13.0, 18.0, 9.0
ITEMS = (
    "waste",
    "end trim",
    "defect on face A",
    "defect on face B",
    "defect on both",
    "rough blank",
    "finished size",
    "saw kerf",
    "later cut",
    "kept offcut",
    "face mark",
    "grain",
)

Item = tuple[float, Callable[[float, float], Sequence[Mark]]]


def draw_legend(flow: Flow, s: Setting, board: Board, bp: BoardPlan, samples: bool = True) -> None:
    """The parts on a board by their ringed number, and the legend of its drawing in the hatches of the drawing itself: what
    occurs on it; without `samples` only the parts, the wall sheet has the rest."""
    faces = {d.seen_on for d in board.defects}
    absent = {
        "defect on face A": "A" not in faces,
        "defect on face B": "B" not in faces,
        "defect on both": "both" not in faces,
        "later cut": not any(c.stage == "final" for c in bp.cuts),
        "kept offcut": not any(o.kept for o in bp.offcuts),
    }
    shown: list[Item] = [(BOX_WIDTH + 4 + width_of(item, 9) + 8, _sample(item)) for item in ITEMS if not absent.get(item)]
    _run_on(flow, [*_key(flow, s, bp), *(shown if samples else [])])


def _key(flow: Flow, s: Setting, bp: BoardPlan) -> list[Item]:
    items: list[Item] = []
    for name in sorted({p.part for p in bp.pieces}, key=lambda n: s.part_numbers[n]):
        number = str(s.part_numbers[name])
        text = shorten(name, flow.inner_width * 0.6, 9)
        wide = width_of(number, 9, True) + 2 * RING_PAD
        items.append((wide + 3 + width_of(text, 9) + 8, _keyed(number, wide, text)))
    return items


def _keyed(number: str, wide: float, text: str) -> Callable[[float, float], Sequence[Mark]]:
    return lambda x, y: [*ring(x, y + 8.4, number), Text(x + wide + 3, y + 8.4, text, 9, role="key")]


def _run_on(flow: Flow, items: Sequence[Item]) -> None:
    """Items beside each other, in as many lines as they need, all on one page if they fit on one."""
    lines: list[list[Item]] = [[]]
    for item in items:
        if lines[-1] and sum(w for w, _ in lines[-1]) + item[0] > flow.inner_width:
            lines.append([])
        lines[-1].append(item)
    flow.need(len(lines) * LINE)
    for line in lines:
        flow.need(LINE)
        x = flow.left
        for wide, draw in line:
            flow.page.add(*draw(x, flow.y))
            x += wide
        flow.y += LINE
    flow.y += 2


def _sample(item: str) -> Callable[[float, float], Sequence[Mark]]:
    def on_face(angles: tuple[int, ...], weight: float, dash: tuple[float, ...] = ()) -> Callable[..., Sequence[Mark]]:
        return lambda x, y, corners: [
            Rect(x, y, BOX_WIDTH, BOX_HEIGHT, weight, None, dash, ink=RED),
            *(Hatch(corners, angle, 2, 0.5, 0.2, ink=RED) for angle in angles),
        ]

    faces = {
        "defect on face A": on_face((45,), 0.8),
        "defect on face B": on_face((-45,), 0.8, (2, 1.5)),
        "defect on both": on_face((45, -45), 1.1),
    }

    def draw(x: float, y: float) -> Sequence[Mark]:
        corners = ((x, y), (x + BOX_WIDTH, y), (x + BOX_WIDTH, y + BOX_HEIGHT), (x, y + BOX_HEIGHT))
        middle = y + BOX_HEIGHT / 2
        every: dict[str, Sequence[Mark]] = {
            "waste": [Rect(x, y, BOX_WIDTH, BOX_HEIGHT, 0.4), Hatch(corners, 45, 6, 0.4)],
            "end trim": [Rect(x, y, BOX_WIDTH, BOX_HEIGHT, 0.4), Hatch(corners, 45, 6, 0.4), Hatch(corners, -45, 6, 0.4)],
            "rough blank": [Rect(x, y, BOX_WIDTH, BOX_HEIGHT, 1.3)],
            "finished size": [Rect(x, y, BOX_WIDTH, BOX_HEIGHT, 0.7, None, (3.5, 2))],
            "saw kerf": [Rect(x, middle - 1, BOX_WIDTH, 2, 0.4, 0.15)],
            "later cut": [Line(x, middle, x + BOX_WIDTH, middle, 1.0, (1.2, 1.8))],
            "kept offcut": [Rect(x, y, BOX_WIDTH, BOX_HEIGHT, 1.3, None, (7, 3))],
            "face mark": face_mark(x + 8, y - 3),
            "grain": grain_arrow(x, y + 1, length=BOX_WIDTH),
        }
        shown = faces[item](x, y, corners) if item in faces else every[item]
        return [*shown, Text(x + BOX_WIDTH + 4, y + 8.4, item, 9, role="legend")]

    return draw
