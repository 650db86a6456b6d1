"""The packet as one self-contained HTML page: printed it is the sheets, on a narrow screen it is one long strip."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from html import escape

from yieldopt.drawing.lettering import clean, font_bytes
from yieldopt.drawing.paper import Paper
from yieldopt.drawing.primitives import Page
from yieldopt.drawing.svg import page_svg

_STYLE = """
@font-face{font-family:'DejaVu Sans Condensed';src:url(data:font/ttf;base64,%(regular)s)}
@font-face{font-family:'DejaVu Sans Condensed';font-weight:bold;src:url(data:font/ttf;base64,%(bold)s)}
@page{size:%(width).3fpt %(height).3fpt;margin:0}
html,body{margin:0;padding:0;background:#fff;color:#000;font-family:'DejaVu Sans Condensed',sans-serif}
nav{padding:12px;font-size:16px;line-height:1.9;overflow-wrap:anywhere}
nav a{color:#000;margin-right:14px;display:inline-block;max-width:100%%}
svg{display:block;width:100%%;height:auto}
.sheet{max-width:1000px;margin:0 auto 18px;border:1px solid #000}
.strip,nav .on-strip{display:none}
@media screen and (max-width:760px){.sheet,nav .on-sheet{display:none}.strip{display:block}nav .on-strip{display:inline-block}}
@media print{nav,.strip{display:none}.sheet{border:0;margin:0;max-width:none;width:%(width).3fpt;height:%(height).3fpt;
overflow:hidden;break-inside:avoid}.sheet+.sheet{break-before:page}}
"""


def write_html(title: str, pages: Sequence[Page], strips: Sequence[Page], paper: Paper) -> str:
    """`pages` for paper and wide screens, `strips` for narrow ones; nothing is fetched from anywhere."""
    style = _STYLE % {
        "regular": base64.b64encode(font_bytes("sheet-regular.ttf")).decode(),
        "bold": base64.b64encode(font_bytes("sheet-bold.ttf")).decode(),
        "width": paper.width,
        "height": paper.height or 0,
    }
    links, sheets, before = [], [], None
    for n, page in enumerate(pages):
        mark = ""
        if page.title != before:
            mark, before = f' id="s{n}"', page.title
            links.append(f'<a class="on-sheet" href="#s{n}">{escape(page.title)}</a>')
        sheets.append(f'<section class="sheet"{mark}>{page_svg(page)}</section>')
    narrow = [f'<section class="strip" id="n{n}">{page_svg(p)}</section>' for n, p in enumerate(strips)]
    jumps = [f'<a class="on-strip" href="#n{n}">{escape(p.title)}</a>' for n, p in enumerate(strips)]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(clean(title))}</title>\n<style>{style}</style>\n</head>\n<body>\n"
        f"<nav>{' '.join(links + jumps)}</nav>\n" + "\n".join(sheets) + "\n" + "\n".join(narrow) + "\n</body>\n</html>\n"
    )
