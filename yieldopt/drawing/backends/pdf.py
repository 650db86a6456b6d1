"""Back end: pages as PDF, without a browser."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from io import BytesIO
from typing import Any

from yieldopt.drawing.backends.hatching import strokes
from yieldopt.drawing.page.lettering import FONT_FILES, font_bytes, width_of
from yieldopt.drawing.page.primitives import Hatch, Line, Mark, Page, Polygon, Rect, Squares, Text, runs

_FONTS = {False: "YieldoptSheet", True: "YieldoptSheet-Bold"}


@cache
def _register() -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for bold, name in _FONTS.items():
        pdfmetrics.registerFont(TTFont(name, BytesIO(font_bytes(FONT_FILES[bold]))))


def write_pdf(pages: Sequence[Page], title: str) -> bytes:
    """The pages as one PDF file with an outline; the same pages give the same bytes."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    _register()
    # Page contents as bytes: wrapping them in letters (ASCII base 85) takes a fifth more room and as much time as drawing.
    before_a85, rl_config.useA85 = rl_config.useA85, 0
    try:
        return _write(Canvas, pages, title)
    finally:
        rl_config.useA85 = before_a85


def _write(make: Any, pages: Sequence[Page], title: str) -> bytes:
    buffer = BytesIO()
    canvas = make(buffer, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setCreator("yieldopt")
    before = None
    codes: dict[tuple[str, bool], list[tuple[str, str]]] = {}
    for number, page in enumerate(pages):
        canvas.setPageSize((page.width, page.height))
        if page.title != before:
            canvas.bookmarkPage(f"p{number}")
            canvas.addOutlineEntry(page.title, f"p{number}", 0)
            before = page.title
        _Pen(canvas, page.height, codes).draw(page.marks)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


class _Pen:
    """Draws the marks of one page. Strokes are written as PDF operators (ISO 32000-1, 8.5) through the canvas's `addLiteral`:
    its own calls format every number in Python several times over, which took half of a large packet's time."""

    def __init__(self, canvas: Any, height: float, codes: dict[tuple[str, bool], list[tuple[str, str]]]) -> None:
        self.canvas = canvas
        self.codes = codes
        self.height = height
        self.code: list[str] = []
        self.state: dict[str, str] = {}

    def draw(self, marks: Sequence[Mark]) -> None:
        """All marks; lettering last, in one text object, as nothing is ever laid over it."""
        for mark in marks:
            if not isinstance(mark, Text):
                self._mark(mark)
        self.canvas.addLiteral("\n".join(self.code))
        self.canvas.setFillGray(0)
        lettering = ["BT"]
        shown = ""
        for text in marks:
            if not isinstance(text, Text):
                continue
            x, y = text.x, self.height - text.y
            turn, back = ("0 1 -1 0", (0.0, _back(text))) if text.turned else ("1 0 0 1", (_back(text), 0.0))
            lettering.append(f"{turn} {x - back[0]:.2f} {y - back[1]:.2f} Tm")
            for subset, code in self._coded(text.text, text.bold):
                font = f"{subset} {text.size:g} Tf"
                if font != shown:
                    lettering.append(font)
                    shown = font
                lettering.append(code)
        self.canvas.addLiteral("\n".join([*lettering, "ET"]))

    def _coded(self, text: str, bold: bool) -> list[tuple[str, str]]:
        """(name of the font's subset, operator that shows the text) for each stretch that one subset can show: `reportlab`
        embeds only the letters used, 256 to a subset. Kept, as a packet says most things many times."""
        from reportlab.pdfbase.pdfmetrics import getFont

        key = (text, bold)
        if key not in self.codes:
            font, document = getFont(_FONTS[bold]), self.canvas._doc
            self.codes[key] = [
                (font.getSubsetInternalName(subset, document), f"({self.canvas._escape(code)}) Tj")
                for subset, code in font.splitString(text, document)
            ]
        return self.codes[key]

    def _colour(self, of: str, code: str) -> None:
        if self.state.get(of) != code:
            self.code.append(code)
            self.state[of] = code

    def _set(self, operator: str, value: str) -> None:
        if self.state.get(operator) != value:
            self.code.append(f"{value} {operator}")
            self.state[operator] = value

    def _stroke(self, weight: float, grey: float, dash: tuple[float, ...] = (), ink: str = "") -> None:
        self._set("w", f"{weight:.2f}")
        # One key for strokes and one for fills: a colour set later undoes a grey set before.
        self._colour("stroke", f"{_rgb(ink)} RG" if ink else f"{grey:.2f} G")
        self._set("d", f"[{' '.join(f'{d:g}' for d in dash)}] 0")

    def _mark(self, mark: Mark) -> None:
        height, code = self.height, self.code
        match mark:
            case Line():
                self._stroke(mark.weight, mark.grey, mark.dash, mark.ink)
                code.append(f"{mark.x1:.2f} {height - mark.y1:.2f} m {mark.x2:.2f} {height - mark.y2:.2f} l S")
            case Rect():
                paint = self._ready(mark)
                if paint:
                    code.append(f"{mark.x:.2f} {height - mark.y - mark.height:.2f} {mark.width:.2f} {mark.height:.2f} re {paint}")
            case Polygon():
                paint = self._ready(mark)
                if paint:
                    steps = [f"{x:.2f} {height - y:.2f} l" for x, y in mark.points]
                    steps[0] = steps[0][:-1] + "m"
                    code.append(" ".join(steps) + (" h " if mark.closed else " ") + paint)
            case Hatch():
                self._stroke(mark.weight, mark.grey, (), mark.ink)
                code.extend([f"{x1:.1f} {height - y1:.1f} m {x2:.1f} {height - y2:.1f} l" for x1, y1, x2, y2 in strokes(mark)])
                code.append("S")
            case Squares():
                self._colour("fill", "0.00 g")
                s = mark.side
                for c, r, run in runs(mark.cells):
                    code.append(f"{mark.x + c * s:.2f} {height - mark.y - (r + 1) * s:.2f} {run * s:.2f} {s:.2f} re")
                code.append("f")

    def _ready(self, mark: Rect | Polygon) -> str:
        """Set pen and paint; the operator that paints the path, empty where there is nothing to see."""
        if mark.weight:
            self._stroke(mark.weight, mark.grey, mark.dash, mark.ink)
        if mark.fill is not None or mark.tint:
            self._colour("fill", f"{_rgb(mark.tint)} rg" if mark.tint else f"{mark.fill:.2f} g")
            return "B" if mark.weight else "f"
        return "S" if mark.weight else ""


@cache
def _rgb(colour: str) -> str:
    return " ".join(f"{int(colour[i : i + 2], 16) / 255:.3f}" for i in (1, 3, 5))


def _back(text: Text) -> float:
    """How far before its anchor the text starts."""
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    return share * width_of(text.text, text.size, text.bold) if share else 0.0
