"""The lettering of one row: names and sizes, each where there is room for it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from yieldopt.drawing.board.callouts import Callout
from yieldopt.drawing.board.naming import Lines, blank_names, code, piece_ways
from yieldopt.drawing.board.rowdims import draw_rips, draw_stick
from yieldopt.drawing.board.rowframe import RowFrame, finished_box
from yieldopt.drawing.page.lettering import clean, shorten, width_of
from yieldopt.drawing.page.marks import FACE_BOX, GRAIN_BOX, Segment, block, block_size, face_mark, grain_arrow
from yieldopt.drawing.page.placing import Box, Placer
from yieldopt.drawing.page.primitives import Page, Rect, Text
from yieldopt.wood.plan import Blank, Piece

# Strips drawn lower than this need all of their width for the lettering, in points.
NARROW = 18.0
# What the strip for the stress test is called where names are asked for.
TEST_STRIP = "test strip"


class RowLabels:
    """Lettering for one `RowFrame`; `draw` lays it down on the frame's page."""

    def __init__(self, frame: RowFrame) -> None:
        self.f = frame
        self.s = frame.setting
        self.page: Page = frame.page
        self.placer = Placer()
        # What has been named in this row.
        self.named: set[str] = set()
        self.kerfs = 0

    def draw(self) -> None:
        f = self.f
        for cut in f.bp.cuts:
            box = f.cut_box(cut)
            if box:
                # Lettering carries its own white above and below: it may stand right against a kerf.
                slim = min(1.0, box[3] / 2)
                self.placer.take((box[0], box[1] + slim, box[0] + box[2], box[1] + box[3] - slim))
        for d in f.board.defects:
            box = f.box(d)
            if box:
                self.placer.soft.append((box[0], box[1], box[0] + box[2], box[1] + box[3]))
        self.kerfs = len(self.placer.hard)
        draw_stick(f)
        self.named |= draw_rips(f, self.placer)
        self._test_strip()
        for blank in f.bp.blanks:
            self._blank(blank)
        self._offcuts()
        self._defects()
        self._trims()

    @property
    def lettered(self) -> list[Box]:
        """Where anything is lettered or marked, once `draw` is done."""
        return self.placer.hard[self.kerfs :]

    def _put(
        self, area: Box, variants: Sequence[Lines], role: str, name: str, mind_soft: bool = True, backed: bool = True
    ) -> int | None:
        """Lay down the first of the variants that finds room in `area`, clear of defects if it can be; which one it was."""
        sizes: list[tuple[float, float]] = []
        mind_soft = mind_soft and self.placer.has_soft(area)
        for mind in (True, False) if mind_soft else (False,):
            # What is no smaller than something without room has none either.
            failed: list[tuple[float, float]] = []
            for n, lines in enumerate(variants):
                if n == len(sizes):
                    sizes.append(block_size(lines))
                width, height = sizes[n]
                if any(width >= w and height >= h for w, h in failed):
                    continue
                place = self.placer.fit(area, width + 2, height, mind)
                if place is None:
                    failed = [(w, h) for w, h in failed if w < width or h < height] + [(width, height)]
                    continue
                x, y = place
                if backed:
                    self.page.add(Rect(x, y, width + 2, height, 0, 1.0, role="backing"))
                self.page.add(*block(x + 1, y, lines, role, (("name", name),)))
                self.placer.take((x, y, x + width + 2, y + height))
                return n
        return None

    def _blank(self, blank: Blank) -> None:
        f = self.f
        box = f.box(blank)
        if not box:
            return
        pad = 2.0 if box[3] > NARROW else 0.2
        area = (box[0] + 3, box[1] + pad, box[0] + box[2] - 3, box[1] + box[3] - pad)
        cells: dict[tuple[Fraction, Fraction, Fraction, Fraction], list[Piece]] = {}
        for p in f.bp.pieces:
            if p.blank == blank.blank:
                cells.setdefault((p.x, p.y, p.length, p.width), []).append(p)
        room = area[2] - area[0] - 4
        lone = next(iter(cells.values())) if len(cells) == 1 else []
        ways = self._blank_ways(blank, lone, room, area[3] - area[1])
        several = list(cells.values()) if len(cells) > 1 else []
        for cell in several:
            self._cell(cell, sizes=False)
        chosen = self._put(area, [lines for lines, _ in ways], "blank-name", blank.blank)
        if chosen is not None:
            self.named.add(blank.blank)
            if ways[chosen][1]:
                self.named |= {p.piece for p in lone}
        if lone:
            self._cell(lone, sizes=False)
        for cell in several:
            self._cell(cell, sizes=True)
        self._signs(area)

    def _blank_ways(self, blank: Blank, lone: Sequence[Piece], room: float, tall: float) -> list[tuple[Lines, bool]]:
        """Ways of lettering a blank that are no taller than `tall`, the one that says most first, and whether they name
        the piece it is all for."""
        size = Segment(self.s.rough_size(blank.length, blank.width), 10.5, True)
        beside = Segment(self.s.size_beside(blank.length, blank.width), 9)
        mill = Segment("mill to " + " + ".join(self.s.main(t) for t in blank.thicknesses), 9)
        called: list[tuple[Lines, float]] = [([], 0.0)]
        if lone:
            called = [(way, 45.0 - 12.0 * n) for n, way in enumerate(piece_ways(lone, self.s, room))]
        names = blank_names(blank, self.f.board.name, room)
        says = bool(lone)
        # (worth, lines, whether the piece is named)
        ways: list[tuple[float, Lines, bool]] = []

        def may(worth: float, lines: Lines, named: bool) -> None:
            if sum([line[0].size for line in lines]) * 1.16 <= tall:
                ways.append((worth, lines, named))

        for big in (20.0, 16.0, 13.0, 11.0):
            if big * 1.16 > tall or width_of(names[0], big, True) > room:
                continue
            head, large = Segment(names[0], big, True), min(big, 16.0) * 1.6
            for piece, worth in called:
                may(large + 38 + worth, [[head], [size], [beside], *piece, [mill]], says)
                may(large + 37 + worth, [[head, size, beside], *piece, [mill]], says)
                may(large + 29 + worth, [[head, size], *piece, [mill]], says)
                may(large + 20 + worth, [[head, size], *piece], says)
                if len(piece) == 1:
                    may(large + 36 + worth, [[head, size, beside], [*piece[0], mill]], says)
                    may(large + 19 + worth, [[head, *piece[0], size]], says)
                    may(large + worth, [[head, *piece[0]]], says)
        for n, name in enumerate(names):
            for big in (20.0, 16.0, 13.0, 11.0, 9.0):
                # Half a name looks like a whole one that something covers: the size goes first.
                head, large = Segment(name, big, True), min(big, 16.0) * 1.6 - 32 * n
                if lone and big <= 11.0:
                    may(large + called[-1][1], [[head, *called[-1][0][0]]], True)
                may(large - 10, [[head, size]], False)
                may(large - 30, [[head]], False)
        ways.sort(key=lambda w: -w[0])
        return [(lines, named) for _, lines, named in ways]

    def _cell(self, cell: list[Piece], sizes: bool) -> None:
        """Name one piece of several in a blank, or, once all are named, write its finished size where there is room."""
        box = self.f.box(cell[0])
        if not box or (not sizes and cell[0].piece in self.named):
            return
        pad = 2.0 if box[3] > NARROW else 0.2
        area = (box[0] + 2, box[1] + pad, box[0] + box[2] - 2, box[1] + box[3] - pad)
        if sizes:
            _, _, _, width = finished_box(cell[0], self.s)
            part = self.s.job.part_named[cell[0].part]
            text = self.s.size(part.length, part.width if cell[0].stave is None else Fraction(width))
            self._put(area, [[[Segment(f"finished {text}", 9)]], [[Segment(text, 9)]]], "piece-size", cell[0].piece)
            return
        ways = piece_ways(cell, self.s, area[2] - area[0] - 3)
        if self._put(area, ways, "piece-name", cell[0].piece) is not None:
            self.named |= {p.piece for p in cell}

    def unnamed(self, before: set[str]) -> list[Callout]:
        """What this row is the last to show and nobody has named: rips, blanks, pieces, kept offcuts."""
        f, found = self.f, []
        done = before | self.named

        def last(end: float) -> bool:
            return f.row.start < end <= f.row.end + 1e-6

        def sides(box: Box | None) -> Box | None:
            return (box[0], box[1], box[0] + box[2], box[1] + box[3]) if box else None

        for cut in f.bp.cuts:
            key = f"cut {cut.order}"
            box = sides(f.cut_box(cut)) if cut.kind == "rip" else None
            if cut.stage == "rough" and box and key not in done and last(float(cut.end)):
                figure = Segment(f"{self.s.mark(cut.at)} ({self.s.beside(cut.at)})", 9)
                found.append(Callout(box, (Segment(f"cut {cut.order} at", 9, True), figure), (key,)))
        for b in f.bp.blanks:
            box = sides(f.box(b))
            pieces = [p for p in f.bp.pieces if p.blank == b.blank]
            if not box or not last(float(b.x + b.length)):
                continue
            one = len({(p.x, p.y, p.length, p.width) for p in pieces}) == 1
            parts = [x for p in pieces for x in code(p, self.s)] if one and pieces[0].piece not in done else []
            if b.blank not in done:
                keys = (b.blank, *(p.piece for p in pieces if parts))
                found.append(Callout(box, (Segment(shorten(b.blank, 120, 9, True), 9, True), *parts), keys))
            elif parts:
                found.append(Callout(box, tuple(parts), tuple(p.piece for p in pieces)))
        cells: dict[tuple[Fraction, Fraction, Fraction, Fraction], list[Piece]] = {}
        called = {key for c in found for key in c.keys}
        for p in f.bp.pieces:
            if p.piece not in done | called and last(float(p.x + p.length)):
                cells.setdefault((p.x, p.y, p.length, p.width), []).append(p)
        for cell in cells.values():
            box = sides(f.box(cell[0]))
            if box:
                segments = tuple(x for p in sorted(cell, key=lambda p: p.layer) for x in code(p, self.s))
                found.append(Callout(box, segments, tuple(p.piece for p in cell)))
        for o in f.bp.offcuts:
            box = sides(f.box(o))
            if o.kept and box and o.offcut not in done and last(float(o.x + o.length)):
                found.append(Callout(box, (Segment(shorten("keep " + o.offcut, 140, 9, True), 9, True),), (o.offcut,)))
        strip, box = f.bp.stress_strip, sides(self._strip_box())
        if strip is not None and box and TEST_STRIP not in done and last(float(strip.x + strip.length)):
            found.append(Callout(box, (Segment(TEST_STRIP, 9, True),), (TEST_STRIP,)))
        return found

    def _strip_box(self) -> Box | None:
        """Where the strip for the stress test lies, as (left, top, width, height)."""
        strip = self.f.bp.stress_strip
        if strip is None:
            return None
        return self.f.clip(float(strip.x), self.f.low, float(strip.length), self.f.high - self.f.low)

    def _test_strip(self) -> None:
        """The strip's name along it, where it is wide enough for lettering; else it is called out."""
        box = self._strip_box()
        if box is None:
            return
        left, top, width, height = box
        size = 9.0
        if width < size or height < width_of(TEST_STRIP, size, True) + 4:
            return
        text = Text(
            left + width / 2 + 0.36 * size, top + height / 2, TEST_STRIP, size, True, "middle", turned=True, role="strip-name"
        )
        self.page.add(text)
        self.placer.take((left, top, left + width, top + height))
        self.named.add(TEST_STRIP)

    def _signs(self, area: Box) -> None:
        """Face mark and grain arrow, where there is room left in the blank."""
        for (width, height), make in ((FACE_BOX, face_mark), (GRAIN_BOX, grain_arrow)):
            place = self.placer.fit(area, width + 2, height + 2)
            if place:
                self.placer.take((place[0], place[1], place[0] + width + 2, place[1] + height + 2))
                self.page.add(*make(place[0] + 1, place[1] + 1))

    def _offcuts(self) -> None:
        for o in self.f.bp.offcuts:
            box = self.f.box(o)
            if not box or not o.kept:
                continue
            area = (box[0] + 3, box[1] + 2, box[0] + box[2] - 3, box[1] + box[3] - 2)
            name = shorten("keep " + clean(o.offcut), min(180, area[2] - area[0] - 4), 9, True)
            size = Segment(self.s.size(o.length, o.width), 10)
            beside = Segment(self.s.size_beside(o.length, o.width), 9)
            variants: list[Lines] = [
                [[Segment(name, 13, True)], [size], [beside]],
                [[Segment(name, 11, True), size, beside]],
                [[Segment(name, 11, True), size]],
                [[Segment(name, 11, True)]],
                [[Segment(name, 9, True)]],
            ]
            if self._put(area, variants, "offcut-name", o.offcut) is not None:
                self.named.add(o.offcut)

    def _defects(self) -> None:
        f = self.f
        for d in f.board.defects:
            box = f.box(d)
            if not box:
                continue
            left, top, width, height = box
            face = "A+B" if d.seen_on == "both" else d.seen_on
            # The hatch tells the faces too, so the kind alone will do where there is no room for more.
            texts: list[Lines] = [[[Segment(f"{d.kind} {face}", 9.0)]], [[Segment(d.kind, 9.0)]]]
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
                if self._put(kept, texts, "defect-name", d.kind, mind_soft=i < 4) is not None:
                    break

    def _trims(self) -> None:
        for region in self.f.regions:
            box = self.f.box(region)
            if box and region.holds in ("trim", "waste"):
                area = (box[0] + 1, box[1] + 1, box[0] + box[2] - 1, box[1] + box[3] - 1)
                words = ("end trim", "trim") if region.holds == "trim" else ("waste",)
                self._put(area, [[[Segment(word, 9)]] for word in words], "waste-name", "")
