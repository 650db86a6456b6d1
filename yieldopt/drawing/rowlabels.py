"""The lettering of one row: names and sizes, each where there is room for it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from yieldopt.drawing.lettering import clean, shorten, width_of
from yieldopt.drawing.marks import FACE_BOX, GRAIN_BOX, Segment, block, block_size, face_mark, grain_arrow
from yieldopt.drawing.placing import Box, Placer
from yieldopt.drawing.primitives import Page, Rect
from yieldopt.drawing.rowdims import draw_rips, draw_stick
from yieldopt.drawing.rowframe import RowFrame, finished_box
from yieldopt.plan import Blank, Piece
from yieldopt.slack import run_places

Lines = Sequence[Sequence[Segment]]


class RowLabels:
    """Lettering for one `RowFrame`; `draw` lays it down on the frame's page."""

    def __init__(self, frame: RowFrame) -> None:
        self.f = frame
        self.s = frame.setting
        self.page: Page = frame.page
        self.placer = Placer()
        self.last: list[Segment] = []
        # What has been named in this row; the rest is in the lists below the drawing.
        self.named: set[str] = set()

    def draw(self) -> None:
        f = self.f
        for cut in f.bp.cuts:
            box = f.cut_box(cut)
            if box:
                self.placer.take((box[0], box[1], box[0] + box[2], box[1] + box[3]))
        for d in f.board.defects:
            box = f.clip(d.x, d.y, d.length, d.width)
            if box:
                self.placer.soft.append((box[0], box[1], box[0] + box[2], box[1] + box[3]))
        draw_stick(f)
        self.named |= draw_rips(f, self.placer)
        for blank in f.bp.blanks:
            self._blank(blank)
        self._offcuts()
        self._defects()
        self._trims()

    def _put(
        self, area: Box, variants: Sequence[Lines], role: str, name: str, mind_soft: bool = True, backed: bool = True
    ) -> bool:
        """The fullest of the variants that finds room in `area`, first clear of defects, then over them if need be."""
        for mind in (True, False) if mind_soft else (False,):
            for lines in variants:
                width, height = block_size(lines)
                place = self.placer.fit(area, width + 2, height, mind)
                if place is None:
                    continue
                x, y = place
                if backed:
                    self.page.add(Rect(x, y, width + 2, height, 0, 1.0, role="backing"))
                self.page.add(*block(x + 1, y, lines, role, (("name", name),)))
                self.placer.take((x, y, x + width + 2, y + height))
                self.last = [segment for line in lines for segment in line]
                return True
        return False

    def _blank(self, blank: Blank) -> None:
        f = self.f
        box = f.clip(blank.x, blank.y, blank.length, blank.width)
        if not box:
            return
        # A strip drawn narrow needs all of its width for the lettering.
        pad = 2.0 if box[3] > 18 else 0.4
        area = (box[0] + 3, box[1] + pad, box[0] + box[2] - 3, box[1] + box[3] - pad)
        pieces = [p for p in f.bp.pieces if p.blank == blank.blank]
        cells: dict[tuple[Fraction, Fraction, Fraction, Fraction], list[Piece]] = {}
        for p in pieces:
            cells.setdefault((p.x, p.y, p.length, p.width), []).append(p)
        room = area[2] - area[0] - 4
        name = shorten(blank.blank, min(room, 170), 9, True)
        size: Segment = (self.s.size(blank.length, blank.width), 10.5, True)
        beside: Segment = (self.s.size_beside(blank.length, blank.width), 9, False)
        mill = "mill to " + " + ".join(self.s.main(t) for t in blank.thicknesses)
        lone = _names(pieces, self.s.has_triangle(pieces[0])) if len(cells) == 1 else ""
        texts = [[(lone, 9.5, True)]] if lone else []
        variants: list[Lines] = []
        for big in (20.0, 16.0, 13.0, 11.0):
            if width_of(name, big, True) > room:
                continue
            head: Segment = (name, big, True)
            variants += [
                [[head], [size], [beside], *texts, [(mill, 9, False)]],
                [[head, size, beside], [*(texts[0] if texts else []), (mill, 9, False)]],
                [[head, size], *texts],
                [[head, *(texts[0] if texts else []), size]],
            ]
        for big in (20.0, 16.0, 13.0, 11.0, 9.0):
            variants.append([[(name, big, True), size]])
            variants.append([[(name, big, True)]])
        variants.sort(key=lambda v: -_worth(v))
        several = list(cells.values()) if len(cells) > 1 else []
        for cell in several:
            self._cell(cell, sizes=False)
        if self._put(area, variants, "blank-name", blank.blank):
            self.named.add(blank.blank)
            if lone and any(lone == text for text, _, _ in self.last):
                self.named |= {p.piece for p in pieces}
        for cell in several:
            self._cell(cell, sizes=True)
        self._signs(area, pieces)

    def _cell(self, cell: list[Piece], sizes: bool) -> None:
        """Name one piece of several in a blank, or, once all are named, write its finished size where there is room."""
        box = self.f.clip(cell[0].x, cell[0].y, cell[0].length, cell[0].width)
        if not box:
            return
        area = (box[0] + 2, box[1] + 2, box[0] + box[2] - 2, box[1] + box[3] - 2)
        if sizes:
            _, _, _, width = finished_box(cell[0], self.s, run_places(self.f.bp, self.s.job))
            part = self.s.job.part_named[cell[0].part]
            text = self.s.size(part.length, part.width if cell[0].stave is None else Fraction(width))
            self._put(area, [[[(f"finished {text}", 9, False)]], [[(text, 9, False)]]], "piece-size", cell[0].piece)
            return
        name = _names(cell, self.s.has_triangle(cell[0]))
        short = shorten(name, area[2] - area[0] - 3, 9, True)
        if self._put(area, [[[(name, 9.5, True)]], [[(short, 9, True)]]], "piece-name", cell[0].piece):
            self.named |= {p.piece for p in cell}

    def _signs(self, area: Box, pieces: Sequence[Piece]) -> None:
        """Face mark and grain arrow, where there is room left in the blank."""
        for (width, height), make in ((FACE_BOX, face_mark), (GRAIN_BOX, grain_arrow)):
            place = self.placer.fit(area, width + 2, height + 2)
            if place:
                self.placer.take((place[0], place[1], place[0] + width + 2, place[1] + height + 2))
                self.page.add(*make(place[0] + 1, place[1] + 1))

    def _offcuts(self) -> None:
        for o in self.f.bp.offcuts:
            box = self.f.clip(o.x, o.y, o.length, o.width)
            if not box or not o.kept:
                continue
            area = (box[0] + 3, box[1] + 2, box[0] + box[2] - 3, box[1] + box[3] - 2)
            name = shorten("keep " + clean(o.offcut), min(180, area[2] - area[0] - 4), 9, True)
            size: Segment = (self.s.size(o.length, o.width), 10, False)
            beside: Segment = (self.s.size_beside(o.length, o.width), 9, False)
            variants: list[Lines] = [
                [[(name, 13, True)], [size], [beside]],
                [[(name, 11, True), size, beside]],
                [[(name, 11, True), size]],
                [[(name, 11, True)]],
                [[(name, 9, True)]],
            ]
            if self._put(area, variants, "offcut-name", o.offcut):
                self.named.add(o.offcut)

    def _defects(self) -> None:
        f = self.f
        for d in f.board.defects:
            box = f.clip(d.x, d.y, d.length, d.width)
            if not box:
                continue
            left, top, width, height = box
            face = "A+B" if d.seen_on == "both" else d.seen_on
            # The hatch tells the faces too, so the kind alone will do where there is no room for more.
            texts: list[Lines] = [[[(f"{d.kind} {face}", 9.0, False)]], [[(d.kind, 9.0, False)]]]
            wide, tall = block_size(texts[0])
            around = (
                (left + width + 1, top - 4, left + width + wide + 5, top + height + tall),
                (left - wide - 5, top - 4, left - 1, top + tall + height),
                (left - wide, top - tall - 1, left + wide + width, top - 1),
                (left - wide, top + height + 1, left + wide + width, top + height + tall + 1),
                (left, top, left + width, top + height),
            )
            limits = (f.left, f.top, f.right, f.bottom)
            for i, area in enumerate(around):
                kept = (max(area[0], limits[0]), max(area[1], limits[1]), min(area[2], limits[2]), min(area[3], limits[3]))
                if self._put(kept, texts, "defect-name", d.kind, mind_soft=i < 4):
                    break

    def _trims(self) -> None:
        for region in self.f.regions:
            box = self.f.clip(region.x, region.y, region.length, region.width)
            if box and region.holds in ("trim", "waste"):
                area = (box[0] + 1, box[1] + 1, box[0] + box[2] - 1, box[1] + box[3] - 1)
                words = ("end trim", "trim") if region.holds == "trim" else ("waste",)
                self._put(area, [[[(word, 9, False)]] for word in words], "waste-name", "")


def _names(pieces: Sequence[Piece], marked: bool) -> str:
    """The names of pieces over one footprint, from face A down, with their set and the face they show."""
    out = []
    for p in sorted(pieces, key=lambda q: q.layer):
        text = p.piece + (" ✓done" if p.state == "done" else "")
        if p.layers > 1:
            text = f"layer {p.layer}: {text}"
        if p.show == "B":
            text += " shows B"
        out.append(text)
    text = " / ".join(out)
    if marked:
        text = "△ " + text
    return shorten(text, 230, 9.5, True)


def _worth(lines: Lines) -> float:
    """How much a variant says: lettering counts by how many things are named, then by the size of the name."""
    return sum(len(line) for line in lines) * 10 + min(lines[0][0][1], 16) * 1.6
