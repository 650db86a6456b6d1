"""The running dimensions of one row: crosscuts on the story stick above the wood, rips beside their lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.drawing.board.rowframe import RowFrame
from yieldopt.drawing.page.lettering import shorten, width_of
from yieldopt.drawing.page.marks import tag
from yieldopt.drawing.page.placing import Box, Placer, overlap
from yieldopt.drawing.page.primitives import Line, Rect, Text
from yieldopt.wood.plan import Cut

# Height of one level of running dimensions, and of the story stick they stand on.
LEVEL, STICK = 24.0, 6.0
FIGURE, RIP_FIGURE, RIP_TALL = 11.0, 10.0, 12.0
# A rip's figure that finds no room at its line stands this far off at most, with a pointer to the line.
FAR = 45.0
# A rip's figure keeps this far off the lines of other rips: it stands nearest to its own.
APART = 3.0


@dataclass(frozen=True, slots=True)
class StickMark:
    """One mark on the story stick: its place on the page, the cuts there, its figure in both units."""

    x: float
    numbers: str
    figure: str
    beside: str
    done: bool

    @property
    def width(self) -> float:
        head = width_of(self.numbers, 9, True) + 5 + 3 if self.numbers else 0
        return max(head + width_of(self.figure, FIGURE, True), width_of(self.beside, 9)) + 3


def cut_marks(frame_cuts: Sequence[Cut], start: float, end: float) -> list[tuple[Fraction, list[Cut]]]:
    """The rough crosscuts between two distances, by place; cuts at one place share a mark."""
    at: dict[Fraction, list[Cut]] = {}
    for cut in frame_cuts:
        if cut.stage == "rough" and cut.kind == "crosscut" and start <= float(cut.at) <= end:
            at.setdefault(cut.at, []).append(cut)
    return sorted(at.items())


def levels_of(marks: Sequence[tuple[float, float]]) -> list[int]:
    """Level of each (place, width of lettering), given from left to right. The lettering stands to the right of its mark's
    line; a mark stands higher than all whose lines would otherwise run through it."""
    levels = [0] * len(marks)
    for i in range(len(marks) - 1, -1, -1):
        x, width = marks[i]
        under = [levels[j] for j in range(i + 1, len(marks)) if marks[j][0] <= x + width + 4]
        levels[i] = max(under, default=-1) + 1
    return levels


def stick_marks(f: RowFrame) -> list[StickMark]:
    """The row's crosscuts and, in the last row, the board's length, from left to right."""
    out = []
    s = f.setting
    for at, cuts in cut_marks(f.bp.cuts, f.row.start, f.row.end):
        numbers = "·".join(str(c.order) for c in cuts)
        done = all(c.state == "done" for c in cuts)
        out.append(StickMark(f.x(at), shorten(numbers, 60, 9, True), s.mark(at), s.beside(at), done))
    if not f.row.broken_after:
        out.append(StickMark(f.right, "", s.main(f.board.length), s.beside(f.board.length), False))
    return out


def stick_levels(f: RowFrame) -> int:
    """How many levels of figures stand above the row."""
    return max(levels_of([(m.x, m.width) for m in stick_marks(f)]), default=-1) + 1


def draw_stick(f: RowFrame) -> None:
    """The story stick above the wood, with the figures to read off the tape hooked on the datum end."""
    marks = stick_marks(f)
    stick = f.top - 4 - STICK
    f.page.add(Rect(f.left, stick, f.right - f.left, STICK, 0.7, role="stick"))
    for mark, level in zip(marks, levels_of([(m.x, m.width) for m in marks]), strict=True):
        base = stick - 3 - level * LEVEL - 11
        f.page.add(Line(mark.x, f.top + 1, mark.x, base - 9, 0.6))
        f.page.add(Rect(mark.x - 0.6, stick, 1.2, STICK, 0, 0.0))
        at = mark.x + 3
        if mark.numbers:
            made, width = tag(at, base, mark.numbers, mark.done)
            f.page.add(*made)
            at += width + 3
        data = (("kind", "crosscut" if mark.numbers else "length"), ("cuts", mark.numbers))
        f.page.add(Text(at, base, mark.figure, FIGURE, True, role="dimension", data=data))
        f.page.add(Text(mark.x + 3, base + 10, mark.beside, 9, role="dimension-beside"))


def draw_rips(f: RowFrame, placer: Placer) -> set[str]:
    """Number and figure of every rough rip beside its line; returns those that found room, as `cut N`."""
    named = set()
    lettered: list[Box] = []
    rips = [(c, box) for c in f.bp.cuts if c.stage == "rough" and c.kind == "rip" and (box := f.cut_box(c))]
    for cut, box in rips:
        if _rip(f, placer, cut, box, [b for c, b in rips if c is not cut], lettered):
            named.add(f"cut {cut.order}")
    return named


def _between(f: RowFrame, box: Box, others: Sequence[Box]) -> tuple[float, float]:
    """From where to where a rip's figure may stand: beyond another rip's line it would be taken for that one's."""
    left, top, width, height = box
    beside = [(t, t + h) for x, t, w, h in others if x < left + width and left < x + w]
    above = max([f.top, *(b + APART for _, b in beside if b <= top)])
    return above, min([f.bottom, *(t - APART for t, _ in beside if t >= top + height)])


def _rip(f: RowFrame, placer: Placer, cut: Cut, box: Box, others: Sequence[Box], lettered: list[Box]) -> bool:
    left, top, width, height = box
    figure, beside = f.setting.mark(cut.at), f.setting.beside(cut.at)
    upper, lower = _between(f, box, others)
    head = width_of(str(cut.order), 9, True) + 5 + 3
    short = head + width_of(figure, RIP_FIGURE, True)
    full = short + 4 + width_of(beside, 9)
    right, low = left + width, top + height
    # At the line, above it first, then below.
    close = ((left + 3, top - RIP_TALL - 1.2, right, top - 1.2), (left + 3, low + 1.2, right, low + 1.2 + RIP_TALL))
    away = ((left + 3, low + 1.2, right, min(lower, low + FAR)), (left + 3, max(upper, top - FAR), right, top - 1.2))
    for areas, pointed in ((close, False), (away, True)):
        for needed, more in ((full, beside), (short, "")):
            for area in areas:
                place = None
                if upper <= area[1] and area[3] <= lower:
                    place = placer.fit(area, needed + 2, RIP_TALL - 0.01, False)
                if place is None:
                    continue
                x, y = place
                if pointed:
                    end = y if y > top else y + RIP_TALL
                    way = (x + 4, min(end, low), x + 6, max(end, top))
                    if any(overlap(way, other) for other in lettered):
                        continue
                    f.page.add(Line(x + 5, top + height / 2, x + 5, end, 0.6, role="pointer"))
                    placer.take(way)
                taken = (x, y, x + needed + 2, y + RIP_TALL)
                _letter_rip(f, cut, taken, figure, more)
                placer.take(taken)
                lettered.append(taken)
                return True
    return False


def _letter_rip(f: RowFrame, cut: Cut, box: Box, figure: str, beside: str) -> None:
    x, y, right, _ = box
    f.page.add(Rect(x, y, right - x, RIP_TALL, 0, 1.0, role="backing"))
    made, tag_width = tag(x + 1, y + 9, str(cut.order), cut.state == "done")
    f.page.add(*made)
    data = (("kind", "rip"), ("cuts", str(cut.order)))
    f.page.add(Text(x + 1 + tag_width + 3, y + 9.4, figure, RIP_FIGURE, True, role="dimension", data=data))
    if beside:
        f.page.add(Text(right, y + 9.2, beside, 9, anchor="end", role="dimension-beside"))
