"""Old and new plan side by side on one self-contained page: figures, and the boards whose sheets changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from yieldopt.drawing.backends.svg import page_svg
from yieldopt.drawing.board.boardsheet import board_drawing
from yieldopt.drawing.page.lettering import clean
from yieldopt.drawing.page.paper import PHONE
from yieldopt.drawing.setting import Setting, setting_for
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Cut, Plan

_STYLE = """
body{margin:0 auto;max-width:1100px;padding:12px;font:16px/1.5 sans-serif;color:#000;background:#fff;overflow-wrap:anywhere}
table{border-collapse:collapse;width:100%}th,td{border:1px solid #000;padding:4px 8px;text-align:left;vertical-align:top}
.pair{display:grid;grid-template-columns:1fr 1fr;gap:12px}.pair>div{border:1px solid #000;padding:6px}
th{overflow-wrap:break-word}svg{display:block;width:100%;height:auto}h3{margin:0 0 6px;font-size:1rem}.told{font-weight:bold}
@media (max-width:700px){.pair{grid-template-columns:1fr}}
@media print{.pair,h2{break-inside:avoid}h2{break-after:avoid}}
"""


@dataclass(frozen=True)
class Sheet:
    """A board whose sheet changed, and the lines to rub out (of the old plan) and to draw (of the new one); `names` are
    sentences on names and numbers that are no more, or new."""

    board: str
    how: str
    rub_out: Sequence[Cut]
    draw: Sequence[Cut]
    names: Sequence[str] = ()


def beside_page(
    old: tuple[Job, Plan],
    new: tuple[Job, Plan],
    figures: Sequence[tuple[str, str, str]],
    sheets: Sequence[Sheet],
    told: Sequence[str],
    date: str,
) -> str:
    """The page as HTML. `figures` are rows of (what, before, after), `told` what else the shop must know."""
    before, after = setting_for(*old, PHONE, date), setting_for(*new, PHONE, date)
    titles = f"revision {old[1].revision}", f"revision {new[1].revision}"
    head = f"{clean(new[1].job)}: {titles[0]} and {titles[1]}"
    rows = "".join(f"<tr><th scope=row>{escape(w)}</th><td>{escape(a)}</td><td>{escape(b)}</td></tr>" for w, a, b in figures)
    body = [
        f"<h1>{escape(head)}</h1><p>{escape(date)}</p>",
        *(f"<p class=told>{escape(t)}</p>" for t in told),
        f"<table><thead><tr><td></td><th scope=col>{titles[0]}</th><th scope=col>{titles[1]}</th></tr></thead><tbody>{rows}"
        "</tbody></table>",
        *(_board(s, before, after, titles) for s in sheets),
        "<p>Not a substitute for the machine maker's instructions, local rules and trained practice.</p>",
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(head)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n" + "\n".join(body) + "\n</body>\n</html>\n"
    )


def _board(sheet: Sheet, before: Setting, after: Setting, titles: tuple[str, str]) -> str:
    words = {"new": "cut now", "dropped": "not cut any more", "changed": "changed"}[sheet.how]
    lines = [f"<h2>Board {escape(clean(sheet.board))}: {words}</h2>"]
    if sheet.rub_out:
        lines.append(f"<p>Rub out, by the numbers of the old sheet: {escape(_cuts(sheet.rub_out, before))}.</p>")
    if sheet.draw:
        lines.append(f"<p>Draw, by the numbers of the new sheet: {escape(_cuts(sheet.draw, after))}.</p>")
    lines += [f"<p>{escape(clean(n[0].upper() + n[1:]))}.</p>" for n in sheet.names]
    halves = [f"<div><h3>{t}</h3>{_drawn(s, sheet.board)}</div>" for t, s in zip(titles, (before, after), strict=True)]
    return "".join(lines) + f'<div class="pair">{"".join(halves)}</div>'


def _cuts(cuts: Sequence[Cut], s: Setting) -> str:
    return "; ".join(f"{c.order} ({c.kind} at {s.mark(c.at) if c.stage == 'rough' else s.main(c.at)})" for c in cuts)


def _drawn(s: Setting, board: str) -> str:
    entry = next((b for b in s.plan.boards if b.board == board), None)
    return "<p>It is not cut.</p>" if entry is None else "".join(page_svg(p) for p in board_drawing(s, entry))
