"""Back end: pages as SVG. Marks become svgwrite elements one page at a time, with svgwrite's validator off: it looks up every
attribute of every element, and a packet of 60 boards has two hundred thousand elements."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from functools import cache, lru_cache
from typing import Any
from xml.etree import ElementTree

from svgwrite import Drawing
from svgwrite.container import SVG, Group
from svgwrite.path import Path
from svgwrite.shapes import Line as LineElement
from svgwrite.shapes import Polygon as PolygonElement
from svgwrite.shapes import Polyline as PolylineElement
from svgwrite.shapes import Rect as RectElement
from svgwrite.text import Text as TextElement

from yieldopt.drawing.backends.hatching import strokes
from yieldopt.drawing.page.lettering import width_of
from yieldopt.drawing.page.primitives import Hatch, Line, Mark, Page, Polygon, Rect, Squares, Text, runs

FAMILY = "'DejaVu Sans Condensed','DejaVu Sans',Verdana,sans-serif"

# What may not stand in an XML document at all (XML 1.0, production 2, Char).
_NOT_XML = re.compile("[^\\t\\n\\r\\x20-\\ud7ff\\ue000-\\ufffd\\U00010000-\\U0010ffff]")

# Characters that no reader sets from right to left beside others of these classes (Unicode Standard Annex #9, table 4).
_LEFT_TO_RIGHT = {"L", "EN", "ES", "ET", "CS", "NSM", "BN", "B", "S", "WS", "ON"}

# The size of nearly all lettering on lists; on a screen only other sizes are said.
_USUAL = 9.0

Number = Callable[[float], str]


def write_svg(pages: Sequence[Page], title: str) -> str:
    """One SVG document (SVG 1.1) with the pages below each other, sized in points."""
    width, height = _n(max(p.width for p in pages)), _n(sum(p.height for p in pages))
    drawing = _bare(Drawing(debug=False, size=(f"{width}pt", f"{height}pt")), f"0 0 {width} {height}", title)
    drawing.add(RectElement((0, 0), (width, height), fill="#fff", factory=drawing))
    top = 0.0
    for page in pages:
        drawing.add(_group(page, top, False, drawing))
        top += page.height
    return '<?xml version="1.0" encoding="utf-8"?>\n' + _written(drawing)


def page_svg(page: Page) -> str:
    """One page for use inside an HTML page that brings the font: no size, nothing that guards against another font."""
    root = _bare(SVG(debug=False), f"0 0 {_n(page.width)} {_n(page.height)}", page.title)
    root.add(_group(page, 0.0, True, root))
    return _written(root)


def _bare(root: Any, view_box: str, title: str) -> Any:
    """An svg element with a title, for a picture, without the empty `defs` that svgwrite gives each."""
    root.elements.remove(root.defs)
    root.attribs |= {"viewBox": view_box, "role": "img"}
    root.set_desc(title=_letters(title))
    return root


def _written(root: Any) -> str:
    # svgwrite's own `tostring` puts an XML declaration first, which has no place inside an HTML page.
    return ElementTree.tostring(root.get_xml(), encoding="unicode")


def _group(page: Page, top: float, screen: bool, factory: Any) -> Any:
    """The page's marks as one `g`, `top` points down. On a screen a tenth of a point is fine enough, and less to load."""
    n = _tenths if screen else _n
    group = Group(factory=factory)
    group.attribs |= {"class": "page", "font-family": FAMILY, "data-kind": page.kind}
    if screen:
        group.attribs["font-size"] = _n(_USUAL)
    if top:
        group.attribs["transform"] = f"translate(0 {_n(top)})"
    for mark in page.marks:
        made = _text(mark, screen, factory) if isinstance(mark, Text) else _shape(mark, n, factory)
        if not screen:
            _tell(mark, made.attribs)
        group.add(made)
    return group


@lru_cache(maxsize=20_000)
def _letters(text: str) -> str:
    return _NOT_XML.sub("", text)


@lru_cache(maxsize=20_000)
def _reordered(text: str) -> bool:
    """Whether a reader could show the characters in another order than they are set."""
    return not text.isascii() and not {unicodedata.bidirectional(c) for c in text} <= _LEFT_TO_RIGHT


def _tell(mark: Mark, attribs: dict[str, str]) -> None:
    """What the mark stands for, so that a drawing can be read back."""
    for key, value in mark.data:
        attribs[f"data-{key}"] = _letters(value)
    if mark.role:
        attribs["class"] = mark.role


def _n(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".") if value else "0"


def _tenths(value: float) -> str:
    return f"{value:.1f}"


@cache
def _shade(grey: float) -> str:
    level = round(grey * 255)
    return f"#{level:02x}{level:02x}{level:02x}"


@lru_cache(maxsize=8192)
def _hatching(mark: Hatch) -> str:
    """Path data of a hatch; the same for the sheet's file and the page."""
    return "".join([f"M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" for x1, y1, x2, y2 in strokes(mark)]) or "M0 0"


def _shape(mark: Line | Rect | Polygon | Hatch | Squares, n: Number, factory: Any) -> Any:
    """The element of everything but lettering. Attributes go to `attribs`, as svgwrite would put them there one by one."""
    made: Any
    match mark:
        case Line():
            made = LineElement((n(mark.x1), n(mark.y1)), (n(mark.x2), n(mark.y2)), factory=factory)
            made.attribs |= _stroke(mark.weight, mark.grey, mark.dash, mark.ink)
        case Rect():
            made = RectElement((n(mark.x), n(mark.y)), (n(mark.width), n(mark.height)), factory=factory)
            made.attribs |= _filled(mark.fill, mark.weight, mark.grey, mark.dash, mark.ink, mark.tint)
        case Polygon():
            kind = PolygonElement if mark.closed else PolylineElement
            made = kind([(n(x), n(y)) for x, y in mark.points], factory=factory)
            made.attribs |= _filled(mark.fill, mark.weight, mark.grey, mark.dash, mark.ink, mark.tint)
        case Hatch():
            made = Path(_hatching(mark), factory=factory)
            made.attribs |= _filled(None, mark.weight, mark.grey, (), mark.ink)
        case Squares():
            made = Path("".join([f"M{c} {r}.5h{run}" for c, r, run in runs(mark.cells)]), factory=factory)
            made.attribs |= _filled(None, 1.0, 0.0, ())
            made.attribs["transform"] = f"translate({n(mark.x)} {n(mark.y)}) scale({mark.side:.4f})"
    return made


def _text(mark: Text, screen: bool, factory: Any) -> Any:
    n = _tenths if screen else _n
    made: Any = TextElement(_letters(mark.text), factory=factory)
    out = made.attribs
    out["x"], out["y"] = n(mark.x), n(mark.y)
    if not screen:
        # Keeps the measured width where the reader's machine has another font.
        out["textLength"], out["lengthAdjust"] = _n(width_of(mark.text, mark.size, mark.bold)), "spacingAndGlyphs"
    if not screen or mark.size != _USUAL:
        out["font-size"] = n(mark.size)
    if _reordered(mark.text):
        # Keeps the order of characters as set, whatever their direction.
        out["direction"], out["unicode-bidi"] = "ltr", "bidi-override"
    if mark.bold:
        out["font-weight"] = "bold"
    if mark.anchor != "start":
        out["text-anchor"] = mark.anchor
    if mark.turned:
        out["transform"] = f"rotate(-90 {n(mark.x)} {n(mark.y)})"
    return made


@cache
def _stroke(weight: float, grey: float, dash: tuple[float, ...], ink: str = "") -> Mapping[str, str]:
    if not weight:
        return {"stroke": "none"}
    out = {"stroke": ink or _shade(grey), "stroke-width": _n(weight)}
    if dash:
        out["stroke-dasharray"] = " ".join(_n(d) for d in dash)
    return out


@cache
def _filled(
    fill: float | None, weight: float, grey: float, dash: tuple[float, ...], ink: str = "", tint: str = ""
) -> Mapping[str, str]:
    return {"fill": tint or ("none" if fill is None else _shade(fill)), **_stroke(weight, grey, dash, ink)}
