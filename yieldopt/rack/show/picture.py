"""A board drawn on paper or screen: both faces with their defects, measured along the datum edge."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from yieldopt.drawing.backends.svg import write_svg
from yieldopt.drawing.page.lettering import clean, shorten, wrap
from yieldopt.drawing.page.primitives import Hatch, Line, Page, Point, Polygon, Rect, Text
from yieldopt.ground.lengths import Units, show
from yieldopt.rack.board.record import RackBoard
from yieldopt.wood.lumber import SOUND_KINDS, Board, Defect

# Points: page, margins, room for the caption above and the figures under each face.
WIDTH, MARGIN, ABOVE, BELOW = 760.0, 24.0, 34.0, 34.0
# Widths below this are drawn larger than the length's scale, so that a long board is no ribbon; the sheet says so.
LEAST_HEIGHT = 70.0


def picture(record: RackBoard, units: Units = "in", facts: list[str] | None = None) -> Page:
    """One page: the name, `facts` below it, face A and face B. B is drawn as seen through the board, as it is measured."""
    board = record.board
    along = (WIDTH - 2 * MARGIN) / float(board.length)
    lowest, highest = min(p.near for p in board.outline), max(p.far for p in board.outline)
    across = max(along, LEAST_HEIGHT / float(highest - lowest))
    tall = float(highest - lowest) * across
    lines = [line for fact in facts or () for line in wrap(fact, WIDTH - 2 * MARGIN, 10.0)]
    page = Page(WIDTH, 0.0, f"board {clean(board.name)}", "rack")
    page.add(Text(MARGIN, 30.0, shorten(board.name, WIDTH - 2 * MARGIN, 18.0, True), 18.0, True, role="name"))
    y = 48.0
    for line in lines:
        page.add(Text(MARGIN, y, line, 10.0))
        y += 14.0
    for face in ("A", "B"):
        caption = "face A, datum end at the left" if face == "A" else "face B, seen through the board"
        if across > along:
            caption += f"; drawn {across / along:.1f} times wider than long"
        page.add(Text(MARGIN, y + 12.0, caption, 10.0, True))
        _face(page, board, face, y + ABOVE, along, across, lowest, highest, units)
        y += ABOVE + tall + BELOW + _labels_room(board, face) + 8.0
    page.height = y + 6.0
    return page


def _labels_room(board: Board, face: str) -> float:
    return 13.0 * sum(d.seen_on in (face, "both") for d in board.defects)


def _face(
    page: Page,
    board: Board,
    face: str,
    top: float,
    along: float,
    across: float,
    lowest: Fraction,
    highest: Fraction,
    units: Units,
) -> None:
    def place(x: Fraction, y: Fraction) -> Point:
        return MARGIN + float(x) * along, top + float(highest - y) * across

    outline = [place(p.x, p.far) for p in board.outline] + [place(p.x, p.near) for p in reversed(board.outline)]
    bottom = top + float(highest - lowest) * across
    shown = [d for d in board.defects if d.seen_on in (face, "both")]
    page.add(Polygon(tuple(outline), 1.2, fill=1.0, role="outline"))
    for number, d in enumerate(shown, 1):
        _defect(page, d, number, place)
    page.add(Polygon(tuple(outline), 1.2, role="outline"))
    _ruler(page, board.length, bottom + 6.0, along, units)
    for number, d in enumerate(shown, 1):
        where = f"x {show(d.x, units)}, y {show(d.y, units)}, {show(d.length, units)} long, {show(d.width, units)} wide"
        through = ", through the board" if d.seen_on == "both" else ""
        page.add(Text(MARGIN, bottom + BELOW + 13.0 * number - 4.0, f"{number}  {d.kind}{through}: {where}", 9.5, role="defect"))


def _defect(page: Page, d: Defect, number: int, place: Callable[[Fraction, Fraction], Point]) -> None:
    (x0, y1), (x1, y0) = place(d.x, d.y), place(d.x + d.length, d.y + d.width)
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    # Unsound wood is hatched both ways, sound one way: told apart without colour.
    page.add(Hatch(corners, 45.0, 4.0))
    if d.kind not in SOUND_KINDS:
        page.add(Hatch(corners, -45.0, 4.0))
    page.add(Rect(x0, y0, x1 - x0, y1 - y0, 0.8, role="defect", data=(("kind", d.kind),)))
    page.add(
        Rect(x0 - 1.0, y0 - 12.0, 6.0 * len(str(number)) + 4.0, 11.0, 0.0, fill=1.0),
        Text(x0 + 1.0, y0 - 3.0, str(number), 9.5, True),
    )


def _ruler(page: Page, length: Fraction, y: float, along: float, units: Units) -> None:
    unit = Fraction(1) if units == "in" else Fraction(10, 254)
    step = next(
        (n * unit for n in (1, 2, 6, 12, 24, 48, 100, 200, 500, 1000, 2000, 5000) if float(n * unit) * along >= 45), length
    )
    end = MARGIN + float(length) * along
    page.add(Line(MARGIN, y, end, y, 0.6))
    x = Fraction(0)
    while x < length:
        px = MARGIN + float(x) * along
        page.add(Line(px, y - 4.0, px, y + 4.0, 0.6))
        if end - px > 60 or x == 0:
            page.add(Text(px, y + 14.0, show(x, units), 9.0, anchor="start" if x == 0 else "middle"))
        x += step
    page.add(Line(end, y - 4.0, end, y + 4.0, 0.6), Text(end, y + 14.0, show(length, units), 9.0, True, "end"))


def svg(record: RackBoard, units: Units = "in", facts: list[str] | None = None) -> str:
    """The picture as an SVG document."""
    page = picture(record, units, facts)
    return write_svg([page], page.title)
