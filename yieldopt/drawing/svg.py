"""Back end: pages as SVG."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from yieldopt.drawing.hatching import strokes
from yieldopt.drawing.lettering import width_of
from yieldopt.drawing.primitives import Data, Hatch, Line, Mark, Page, Polygon, Rect, Squares, Text

FAMILY = "'DejaVu Sans Condensed','DejaVu Sans',Verdana,sans-serif"

# What may not stand in an XML document at all (XML 1.0, production 2, Char).
_NOT_XML = re.compile("[^\\t\\n\\r\\x20-\\ud7ff\\ue000-\\ufffd\\U00010000-\\U0010ffff]")


def write_svg(pages: Sequence[Page], title: str, screen: bool = False) -> str:
    """One SVG document with the pages below each other; `screen` leaves out the size and what only
    guards against a missing font, for use in a page that brings the font."""
    import svgwrite

    width, height = max(p.width for p in pages), sum(p.height for p in pages)
    size = {} if screen else {"size": (f"{_n(width)}pt", f"{_n(height)}pt")}
    drawing = svgwrite.Drawing(debug=False, viewBox=f"0 0 {_n(width)} {_n(height)}", **size)
    if screen:
        drawing.attribs.pop("width", None)
        drawing.attribs.pop("height", None)
    drawing.attribs["role"] = "img"
    drawing.set_desc(title=title)
    drawing.add(drawing.rect((0, 0), (_n(width), _n(height)), fill="#fff"))
    top = 0.0
    for page in pages:
        group = drawing.g(transform=f"translate(0 {_n(top)})") if top else drawing.g()
        group.attribs.update({"class": "page", "font-family": FAMILY, "data-kind": page.kind})
        for mark in page.marks:
            group.add(_element(drawing, mark, screen))
        drawing.add(group)
        top += page.height
    text: str = drawing.tostring()
    return text


def _n(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".") if value else "0"


def _shade(grey: float) -> str:
    level = round(grey * 255)
    return f"#{level:02x}{level:02x}{level:02x}"


def _element(drawing: Any, mark: Mark, screen: bool) -> Any:
    match mark:
        case Line():
            made = drawing.line(
                (_n(mark.x1), _n(mark.y1)), (_n(mark.x2), _n(mark.y2)), **_stroke(mark.weight, mark.grey, mark.dash)
            )
        case Rect():
            made = drawing.rect(
                (_n(mark.x), _n(mark.y)),
                (_n(mark.width), _n(mark.height)),
                fill=_fill(mark.fill),
                **_stroke(mark.weight, mark.grey, mark.dash),
            )
        case Polygon():
            points = [(_n(x), _n(y)) for x, y in mark.points]
            shape = drawing.polygon if mark.closed else drawing.polyline
            made = shape(points, fill=_fill(mark.fill), **_stroke(mark.weight, mark.grey, mark.dash))
        case Hatch():
            path = "".join(f"M{_n(x1)} {_n(y1)}L{_n(x2)} {_n(y2)}" for x1, y1, x2, y2 in strokes(mark))
            made = drawing.path(d=path or "M0 0", fill="none", **_stroke(mark.weight, mark.grey, ()))
        case Squares():
            s = mark.side
            path = "".join(f"M{_n(mark.x + c * s)} {_n(mark.y + r * s)}h{_n(s)}v{_n(s)}h{_n(-s)}z" for c, r in mark.cells)
            made = drawing.path(d=path, fill="#000")
        case Text():
            made = _text(drawing, mark, screen)
    return _tagged(made, mark.role, mark.data)


def _text(drawing: Any, mark: Text, screen: bool) -> Any:
    made = drawing.text(mark.text, insert=(_n(mark.x), _n(mark.y)), font_size=_n(mark.size))
    if not screen:
        # Keeps the measured width where the reader's machine has another font.
        made.attribs["textLength"] = _n(width_of(mark.text, mark.size, mark.bold))
        made.attribs["lengthAdjust"] = "spacingAndGlyphs"
    if not mark.text.isascii():
        # Keeps the order of characters as set, whatever their direction.
        made.attribs.update({"direction": "ltr", "unicode-bidi": "bidi-override"})
    if mark.bold:
        made.attribs["font-weight"] = "bold"
    if mark.anchor != "start":
        made.attribs["text-anchor"] = mark.anchor
    if mark.turned:
        made.attribs["transform"] = f"rotate(-90 {_n(mark.x)} {_n(mark.y)})"
    return made


def _stroke(weight: float, grey: float, dash: tuple[float, ...]) -> dict[str, str]:
    if not weight:
        return {"stroke": "none"}
    out = {"stroke": _shade(grey), "stroke_width": _n(weight)}
    if dash:
        out["stroke_dasharray"] = " ".join(_n(d) for d in dash)
    return out


def _fill(fill: float | None) -> str:
    return "none" if fill is None else _shade(fill)


def _tagged(element: Any, role: str, data: Data) -> Any:
    if role:
        element.attribs["class"] = role
    for key, value in data:
        element.attribs[f"data-{key}"] = _NOT_XML.sub("", value)
    return element
