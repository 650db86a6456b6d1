"""Back end: pages as SVG, written straight to text: a packet of 60 boards has hundreds of thousands of marks, and an object
of an XML library for each took longer than everything else."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import cache, lru_cache
from xml.sax.saxutils import escape, quoteattr

from yieldopt.drawing.hatching import strokes
from yieldopt.drawing.lettering import width_of
from yieldopt.drawing.primitives import Hatch, Line, Mark, Page, Polygon, Rect, Squares, Text, runs

FAMILY = "'DejaVu Sans Condensed','DejaVu Sans',Verdana,sans-serif"

# What may not stand in an XML document at all (XML 1.0, production 2, Char).
_NOT_XML = re.compile("[^\\t\\n\\r\\x20-\\ud7ff\\ue000-\\ufffd\\U00010000-\\U0010ffff]")


def write_svg(pages: Sequence[Page], title: str) -> str:
    """One SVG document (SVG 1.1) with the pages below each other, sized in points."""
    width, height = _n(max(p.width for p in pages)), _n(sum(p.height for p in pages))
    out = [
        '<?xml version="1.0" encoding="utf-8"?>\n<svg xmlns="http://www.w3.org/2000/svg" version="1.1" role="img" '
        f'viewBox="0 0 {width} {height}" width="{width}pt" height="{height}pt"><title>{_letters(title)}</title>'
        f'<rect x="0" y="0" width="{width}" height="{height}" fill="#fff"/>'
    ]
    top = 0.0
    for page in pages:
        _page(page, top, False, out)
        top += page.height
    return "".join([*out, "</svg>"])


def page_svg(page: Page) -> str:
    """One page for use inside an HTML page that brings the font: no size, nothing that guards against another font."""
    out = [f'<svg viewBox="0 0 {_n(page.width)} {_n(page.height)}" role="img"><title>{_letters(page.title)}</title>']
    _page(page, 0.0, True, out)
    return "".join([*out, "</svg>"])


def _page(page: Page, top: float, screen: bool, out: list[str]) -> None:
    """The page's marks as one `g`, `top` points down. On a screen a tenth of a point is fine enough, and less to load."""
    n = _tenths if screen else _n
    move = f' transform="translate(0 {_n(top)})"' if top else ""
    out.append(f'<g class="page" font-family="{FAMILY}" data-kind="{page.kind}"{move}>')
    for mark in page.marks:
        about = "" if screen else _about(mark)
        if isinstance(mark, Text):
            # Keeps the measured width where the reader's machine has another font.
            width = (
                "" if screen else f' textLength="{_n(width_of(mark.text, mark.size, mark.bold))}" lengthAdjust="spacingAndGlyphs"'
            )
            out.append(f"<text{_text(mark, n)}{about}{width}>{_letters(mark.text)}</text>")
        else:
            out.append(f"<{_shape(mark, n)}{about}/>")
    out.append("</g>")


@lru_cache(maxsize=20_000)
def _letters(text: str) -> str:
    return escape(_NOT_XML.sub("", text))


def _about(mark: Mark) -> str:
    """What the mark stands for, so that a drawing can be read back."""
    said = "".join([f" data-{key}={quoteattr(_NOT_XML.sub('', value))}" for key, value in mark.data])
    return f'{said} class="{mark.role}"' if mark.role else said


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


def _shape(mark: Line | Rect | Polygon | Hatch | Squares, n: Callable[[float], str]) -> str:
    """Name and attributes of everything but lettering."""
    match mark:
        case Line():
            ends = f'line x1="{n(mark.x1)}" y1="{n(mark.y1)}" x2="{n(mark.x2)}" y2="{n(mark.y2)}"'
            return ends + _stroke(mark.weight, mark.grey, mark.dash)
        case Rect():
            box = f'rect x="{n(mark.x)}" y="{n(mark.y)}" width="{n(mark.width)}" height="{n(mark.height)}"'
            return f'{box} fill="{_fill(mark.fill)}"{_stroke(mark.weight, mark.grey, mark.dash)}'
        case Polygon():
            points = " ".join([f"{n(x)},{n(y)}" for x, y in mark.points])
            name = "polygon" if mark.closed else "polyline"
            return f'{name} points="{points}" fill="{_fill(mark.fill)}"{_stroke(mark.weight, mark.grey, mark.dash)}'
        case Hatch():
            return f'path d="{_hatching(mark)}" fill="none"{_stroke(mark.weight, mark.grey, ())}'
        case Squares():
            path = "".join([f"M{c} {r}.5h{run}" for c, r, run in runs(mark.cells)])
            move = f"translate({n(mark.x)} {n(mark.y)}) scale({mark.side:.4f})"
            return f'path d="{path}" transform="{move}" stroke="#000" stroke-width="1" fill="none"'


def _text(mark: Text, n: Callable[[float], str]) -> str:
    out = f' x="{n(mark.x)}" y="{n(mark.y)}" font-size="{n(mark.size)}"'
    if not mark.text.isascii():
        # Keeps the order of characters as set, whatever their direction.
        out += ' direction="ltr" unicode-bidi="bidi-override"'
    if mark.bold:
        out += ' font-weight="bold"'
    if mark.anchor != "start":
        out += f' text-anchor="{mark.anchor}"'
    if mark.turned:
        out += f' transform="rotate(-90 {n(mark.x)} {n(mark.y)})"'
    return out


@cache
def _stroke(weight: float, grey: float, dash: tuple[float, ...]) -> str:
    if not weight:
        return ' stroke="none"'
    dashes = f' stroke-dasharray="{" ".join(_n(d) for d in dash)}"' if dash else ""
    return f' stroke="{_shade(grey)}" stroke-width="{_n(weight)}"{dashes}'


def _fill(fill: float | None) -> str:
    return "none" if fill is None else _shade(fill)
