"""Back end: pages as PDF, without a browser."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from io import BytesIO
from typing import Any

from yieldopt.drawing.hatching import strokes
from yieldopt.drawing.lettering import FONT_FILES, font_bytes
from yieldopt.drawing.primitives import Hatch, Line, Mark, Page, Polygon, Rect, Squares, Text

_FONTS = {False: "YieldoptSheet", True: "YieldoptSheet-Bold"}


@cache
def _register() -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for bold, name in _FONTS.items():
        pdfmetrics.registerFont(TTFont(name, BytesIO(font_bytes(FONT_FILES[bold]))))


def write_pdf(pages: Sequence[Page], title: str) -> bytes:
    """The pages as one PDF file with an outline; the same pages give the same bytes."""
    from reportlab.pdfgen.canvas import Canvas

    _register()
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setCreator("yieldopt")
    before = None
    for number, page in enumerate(pages):
        canvas.setPageSize((page.width, page.height))
        if page.title != before:
            canvas.bookmarkPage(f"p{number}")
            canvas.addOutlineEntry(page.title, f"p{number}", 0)
            before = page.title
        canvas.setLineCap(0)
        for mark in page.marks:
            _draw(canvas, mark, page.height)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _pen(canvas: Any, weight: float, grey: float, dash: tuple[float, ...] = ()) -> None:
    canvas.setLineWidth(weight)
    canvas.setStrokeGray(grey)
    canvas.setDash(list(dash) if dash else [])


def _draw(canvas: Any, mark: Mark, height: float) -> None:
    match mark:
        case Line():
            _pen(canvas, mark.weight, mark.grey, mark.dash)
            canvas.line(mark.x1, height - mark.y1, mark.x2, height - mark.y2)
        case Rect():
            corners = (
                (mark.x, mark.y),
                (mark.x + mark.width, mark.y),
                (mark.x + mark.width, mark.y + mark.height),
                (mark.x, mark.y + mark.height),
            )
            _shape(canvas, Polygon(corners, mark.weight, mark.fill, mark.dash, mark.grey), height)
        case Polygon():
            _shape(canvas, mark, height)
        case Hatch():
            _pen(canvas, mark.weight, mark.grey)
            canvas.lines([(x1, height - y1, x2, height - y2) for x1, y1, x2, y2 in strokes(mark)])
        case Squares():
            canvas.setFillGray(0)
            path = canvas.beginPath()
            for c, r in mark.cells:
                path.rect(mark.x + c * mark.side, height - mark.y - (r + 1) * mark.side, mark.side, mark.side)
            canvas.drawPath(path, stroke=0, fill=1)
        case Text():
            _letter(canvas, mark, height)


def _shape(canvas: Any, mark: Polygon, height: float) -> None:
    if mark.weight:
        _pen(canvas, mark.weight, mark.grey, mark.dash)
    if mark.fill is not None:
        canvas.setFillGray(mark.fill)
    path = canvas.beginPath()
    path.moveTo(mark.points[0][0], height - mark.points[0][1])
    for x, y in mark.points[1:]:
        path.lineTo(x, height - y)
    if mark.closed:
        path.close()
    canvas.drawPath(path, stroke=1 if mark.weight else 0, fill=0 if mark.fill is None else 1)


def _letter(canvas: Any, mark: Text, height: float) -> None:
    canvas.setFillGray(0)
    canvas.setFont(_FONTS[mark.bold], mark.size)
    draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}[mark.anchor]
    if not mark.turned:
        draw(mark.x, height - mark.y, mark.text)
        return
    canvas.saveState()
    canvas.translate(mark.x, height - mark.y)
    canvas.rotate(90)
    draw(0, 0, mark.text)
    canvas.restoreState()
