"""The packet as one self-contained HTML page: printed it is the sheets, on a narrow screen it is one long strip."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from html import escape

from yieldopt.drawing.backends.svg import page_svg
from yieldopt.drawing.page.lettering import clean, font_bytes
from yieldopt.drawing.page.primitives import Page

_STYLE = """
@font-face{font-family:'DejaVu Sans Condensed';src:url(data:font/ttf;base64,%(regular)s)}
@font-face{font-family:'DejaVu Sans Condensed';font-weight:bold;src:url(data:font/ttf;base64,%(bold)s)}
%(papers)s
html,body{margin:0;padding:0;background:#fff;color:#000;font-family:'DejaVu Sans Condensed',sans-serif}
nav{padding:12px;font-size:16px;line-height:1.9;overflow-wrap:anywhere}
nav a{color:#000;margin-right:14px;display:inline-block;max-width:100%%}
svg{display:block;width:100%%;height:auto}
main{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%%,660px),1fr));grid-auto-flow:dense;gap:14px;align-items:start;
padding:0 14px}
.sheet{border:1px solid #000}
.wide{grid-column:1/-1}
.strip,nav .on-strip{display:none}
@media screen and (max-width:760px){main{display:block;padding:0}.sheet,nav .on-sheet{display:none}.strip{display:block}
nav .on-strip{display:inline-block}}
@media print{nav,.strip{display:none}main{display:block;padding:0}.sheet{border:0;margin:0;overflow:hidden;break-inside:avoid}
.sheet+.sheet{break-before:page}}
"""


def write_html(title: str, pages: Sequence[Page], strips: Sequence[Page]) -> str:
    """`pages` for paper and wide screens, `strips` for narrow ones; nothing is fetched from anywhere. Pages that lie take the
    whole width of a wide screen, those that stand share it."""
    sizes = list(dict.fromkeys((p.width, p.height) for p in pages))
    style = _STYLE % {
        "regular": base64.b64encode(font_bytes("sheet-regular.ttf")).decode(),
        "bold": base64.b64encode(font_bytes("sheet-bold.ttf")).decode(),
        "papers": "\n".join(
            f"@page p{n}{{size:{w:.3f}pt {h:.3f}pt;margin:0}}@media print{{.p{n}{{page:p{n};width:{w:.3f}pt;height:{h:.3f}pt}}}}"
            for n, (w, h) in enumerate(sizes)
        ),
    }
    links, sheets, before = [], [], None
    for n, page in enumerate(pages):
        mark = ""
        if page.title != before:
            mark, before = f' id="s{n}"', page.title
            links.append(f'<a class="on-sheet" href="#s{n}">{escape(page.title)}</a>')
        kind = f"sheet p{sizes.index((page.width, page.height))}{' wide' if page.width > page.height else ''}"
        sheets.append(f'<section class="{kind}"{mark}>{page_svg(page)}</section>')
    narrow = [f'<section class="strip" id="n{n}">{page_svg(p)}</section>' for n, p in enumerate(strips)]
    jumps = [f'<a class="on-strip" href="#n{n}">{escape(p.title)}</a>' for n, p in enumerate(strips)]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(clean(title))}</title>\n<style>{style}</style>\n</head>\n<body>\n"
        f"<nav>{' '.join(links + jumps)}</nav>\n<main>\n"
        + "\n".join(sheets)
        + "\n</main>\n"
        + "\n".join(narrow)
        + "\n</body>\n</html>\n"
    )
