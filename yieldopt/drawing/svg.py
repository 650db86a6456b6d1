"""Back end: pages as SVG."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from typing import Any
from xml.etree import ElementTree

from yieldopt.drawing.hatching import strokes
from yieldopt.drawing.lettering import width_of
from yieldopt.drawing.primitives import Hatch, Line, Mark, Page, Polygon, Rect, Squares, Text, runs

FAMILY = "'DejaVu Sans Condensed','DejaVu Sans',Verdana,sans-serif"

# What may not stand in an XML document at all (XML 1.0, production 2, Char).
_NOT_XML = re.compile("[^\\t\\n\\r\\x20-\\ud7ff\\ue000-\\ufffd\\U00010000-\\U0010ffff]")

Attributes = dict[str, str]


@cache
def _marks_class() -> Any:
    from svgwrite.base import BaseElement

    class Marks(BaseElement):  # type: ignore[misc, unused-ignore]
        """A page as one svgwrite element that makes its XML at once: an svgwrite object for each of the hundred thousand
        marks of a packet of 60 boards took half of the packet's time."""

        elementname = "g"

        def __init__(self, page: Page, top: float) -> None:
            super().__init__(debug=False)
            self.page = page
            self.top = top

        def get_xml(self) -> Any:
            return page_xml(self.page, self.top)

    return Marks


def write_svg(pages: Sequence[Page], title: str) -> str:
    """One SVG document with the pages below each other, sized in points."""
    import svgwrite

    width, height = max(p.width for p in pages), sum(p.height for p in pages)
    drawing = svgwrite.Drawing(debug=False, viewBox=f"0 0 {_n(width)} {_n(height)}", size=(f"{_n(width)}pt", f"{_n(height)}pt"))
    drawing.attribs["role"] = "img"
    drawing.set_desc(title=title)
    drawing.add(drawing.rect((0, 0), (_n(width), _n(height)), fill="#fff"))
    top = 0.0
    for page in pages:
        drawing.add(_marks_class()(page, top))
        top += page.height
    text: str = drawing.tostring()
    return text


def page_svg(page: Page) -> str:
    """One page for use inside an HTML page that brings the font: no size, nothing that guards against another font."""
    root = ElementTree.Element("svg", {"viewBox": f"0 0 {_n(page.width)} {_n(page.height)}", "role": "img"})
    ElementTree.SubElement(root, "title").text = page.title
    root.append(page_xml(page, 0.0, screen=True))
    return ElementTree.tostring(root, encoding="unicode")


def page_xml(page: Page, top: float, screen: bool = False) -> ElementTree.Element:
    """The page's marks as one `g`, `top` points down."""
    group = ElementTree.Element("g", {"class": "page", "font-family": FAMILY, "data-kind": page.kind})
    if top:
        group.set("transform", f"translate(0 {_n(top)})")
    for mark in page.marks:
        name, attributes = _element(mark)
        for key, value in mark.data if not screen else ():
            attributes[f"data-{key}"] = _NOT_XML.sub("", value)
        if mark.role and not screen:
            attributes["class"] = mark.role
        made = ElementTree.SubElement(group, name, attributes)
        if isinstance(mark, Text):
            made.text = mark.text
            if not screen:
                # Keeps the measured width where the reader's machine has another font.
                made.set("textLength", _n(width_of(mark.text, mark.size, mark.bold)))
                made.set("lengthAdjust", "spacingAndGlyphs")
    return group


def _n(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".") if value else "0"


@cache
def _shade(grey: float) -> str:
    level = round(grey * 255)
    return f"#{level:02x}{level:02x}{level:02x}"


def _element(mark: Mark) -> tuple[str, Attributes]:
    match mark:
        case Text():
            return "text", _text(mark)
        case Line():
            ends = {"x1": _n(mark.x1), "y1": _n(mark.y1), "x2": _n(mark.x2), "y2": _n(mark.y2)}
            return "line", ends | _stroke(mark.weight, mark.grey, mark.dash)
        case Rect():
            box = {"x": _n(mark.x), "y": _n(mark.y), "width": _n(mark.width), "height": _n(mark.height), "fill": _fill(mark.fill)}
            return "rect", box | _stroke(mark.weight, mark.grey, mark.dash)
        case Polygon():
            points = {"points": " ".join(f"{_n(x)},{_n(y)}" for x, y in mark.points), "fill": _fill(mark.fill)}
            return "polygon" if mark.closed else "polyline", points | _stroke(mark.weight, mark.grey, mark.dash)
        case Hatch():
            path = "".join([f"M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" for x1, y1, x2, y2 in strokes(mark)])
            return "path", {"d": path or "M0 0", "fill": "none"} | _stroke(mark.weight, mark.grey, ())
        case Squares():
            path = "".join([f"M{c} {r}.5h{run}" for c, r, run in runs(mark.cells)])
            move = f"translate({_n(mark.x)} {_n(mark.y)}) scale({mark.side:.4f})"
            return "path", {"d": path, "transform": move, "stroke": "#000", "stroke-width": "1", "fill": "none"}


def _text(mark: Text) -> Attributes:
    out = {"x": _n(mark.x), "y": _n(mark.y), "font-size": _n(mark.size)}
    if not mark.text.isascii():
        # Keeps the order of characters as set, whatever their direction.
        out |= {"direction": "ltr", "unicode-bidi": "bidi-override"}
    if mark.bold:
        out["font-weight"] = "bold"
    if mark.anchor != "start":
        out["text-anchor"] = mark.anchor
    if mark.turned:
        out["transform"] = f"rotate(-90 {_n(mark.x)} {_n(mark.y)})"
    return out


def _stroke(weight: float, grey: float, dash: tuple[float, ...]) -> Attributes:
    if not weight:
        return {"stroke": "none"}
    out = {"stroke": _shade(grey), "stroke-width": _n(weight)}
    if dash:
        out["stroke-dasharray"] = " ".join(_n(d) for d in dash)
    return out


def _fill(fill: float | None) -> str:
    return "none" if fill is None else _shade(fill)
