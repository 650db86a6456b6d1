"""The plan's sheets as a phone shows them: the drawings, each cut in the words and figures of its sheet, and where on the
drawing it lies, so that one cut can be shown by itself and a touch on the drawing is a place on the board."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from yieldopt.drawing.backends.svg import write_svg
from yieldopt.drawing.board.boardsheet import board_sheet
from yieldopt.drawing.board.sheetlists import cut_reach, waste_side
from yieldopt.drawing.page.paper import PHONE, POINTS_PER_INCH
from yieldopt.drawing.page.primitives import Line, Page, Rect
from yieldopt.drawing.setting import Setting, setting_for
from yieldopt.drawing.words.cutplace import SAWS, cut_place, cut_what
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import BoardPlan, Cut, Plan

# Below a row's caption, above its highest figure, in points.
BELOW_CAPTION, ABOVE_FIGURES = 6.0, 14.0


@dataclass(frozen=True)
class Sheets:
    """All sheets of one plan, drawn once."""

    setting: Setting
    # By board.
    pages: Mapping[str, Sequence[Page]]
    svgs: Mapping[str, Sequence[str]]

    def cuts(self, bp: BoardPlan) -> list[dict[str, Any]]:
        """The board's cuts in order."""
        return [self._cut(c, bp) for c in sorted(bp.cuts, key=lambda c: c.order)]

    def _cut(self, cut: Cut, bp: BoardPlan) -> dict[str, Any]:
        s, board = self.setting, self.setting.board(bp.board)
        at, origin = cut_place(cut, bp, board)
        return {
            "order": cut.order,
            "stage": cut.stage,
            "words": cut_words(cut, bp, s),
            "what": cut_what(cut),
            "at": _figure(cut, at, s),
            "beside": s.beside(at),
            "origin": origin,
            "saw": SAWS.get((cut.stage, cut.kind), "saw"),
            "along": cut_reach(cut, board, bp, s),
            "waste": waste_side(cut, s.regions[bp.board]),
            "blank": cut.blank or "",
            "spots": list(_spots(cut, self.pages[bp.board])),
        }

    def strips(self, board: str) -> list[dict[str, Any]]:
        """The rows of the board's drawing, in points of their page, and the stretch of wood each shows, in inches: wood at
        (x, y) lies at (left + (x - start) * points, top + (high - y) * points). `upper` to `lower` holds the row's figures."""
        return [strip for n, page in enumerate(self.pages[board]) for strip in _strips(n, page)]

    def sizes(self, board: str) -> list[list[float]]:
        """Width and height of the board's pages, in points."""
        return [[page.width, page.height] for page in self.pages[board]]


def draw_sheets(job: Job, plan: Plan) -> Sheets:
    """Draw every board's sheet for a narrow screen."""
    setting = setting_for(job, plan, PHONE, "")
    pages = {bp.board: board_sheet(setting, bp) for bp in plan.boards}
    return Sheets(setting, pages, {name: [write_svg([p], p.title) for p in drawn] for name, drawn in pages.items()})


def _figure(cut: Cut, at: Fraction, s: Setting) -> str:
    """As on the sheet: rough cuts as they are marked."""
    return s.mark(at) if cut.stage == "rough" else s.main(at)


def cut_words(cut: Cut, bp: BoardPlan, s: Setting) -> str:
    """One line for a list: `final crosscut at 18 7/8 from blank's datum end, blank W2-d`."""
    at, origin = cut_place(cut, bp, s.board(bp.board))
    blank = next((b for b in bp.blanks if b.blank == cut.blank), None)
    of = f", blank {cut.blank}" if cut.blank else ""
    layer = f", layer {cut.layer}" if cut.layer and blank and blank.layers > 1 else ""
    return f"{cut_what(cut)} at {_figure(cut, at, s)} {origin}{of}{layer}"


def _strips(number: int, page: Page) -> Iterator[dict[str, Any]]:
    captions = sorted(m.y for m in page.texts() if m.role == "caption")
    figures = [m.y for m in page.texts() if m.role == "dimension"]
    rows = sorted((m for m in page.marks if isinstance(m, Rect) and m.role == "row"), key=lambda m: m.y)
    before = 0.0
    for row, caption in zip(rows, captions, strict=True):
        data = dict(row.data)
        upper = min((y for y in figures if before < y < row.y), default=row.y) - ABOVE_FIGURES
        lower = caption + BELOW_CAPTION
        yield {
            "page": number,
            "left": round(row.x, 2),
            "top": round(row.y, 2),
            "width": round(row.width, 2),
            "height": round(row.height, 2),
            "start": float(data["start"]),
            "high": float(data["high"]),
            "points": POINTS_PER_INCH / float(data["scale"]),
            "upper": round(max(upper, before), 2),
            "lower": round(lower, 2),
        }
        before = lower


def _spots(cut: Cut, pages: Sequence[Page]) -> Iterator[dict[str, Any]]:
    """Where the cut's line is drawn; of a resaw cut, which lies in the thickness, the blank and the line in its end view."""
    for number, page in enumerate(pages):
        for m in page.marks:
            if not isinstance(m, Rect | Line):
                continue
            data = dict(m.data)
            if cut.kind == "resaw":
                mine = data.get("name") == cut.blank and (
                    m.role == "blank" or (m.role == "resaw" and float(data["from"]) == float(cut.at))
                )
            else:
                mine = m.role in ("kerf", "final-cut") and data["order"] == str(cut.order)
            if mine:
                yield {"page": number, "end": m.role == "resaw"} | _box(m)


def _box(m: Rect | Line) -> dict[str, float]:
    if isinstance(m, Rect):
        left, top, width, height = m.x, m.y, m.width, m.height
    else:
        left, top, width, height = min(m.x1, m.x2), min(m.y1, m.y2), abs(m.x2 - m.x1), abs(m.y2 - m.y1)
    return {"left": round(left, 2), "top": round(top, 2), "width": round(width, 2), "height": round(height, 2)}
