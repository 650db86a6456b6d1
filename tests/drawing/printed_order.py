"""The milling order as a person reads it: steps, tables and cuts taken from the printed words alone; and a saw that follows
them on rectangles. Nothing here knows the packet's code or the plan's cuts: only pages and figures as printed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction as F

from stranger import ReadBoard

from yieldopt.drawing.page.primitives import Line, Page, Text

# The pictures of the sets stand below the last step.
PICTURES = "Sets kept together"


@dataclass
class Step:
    """One numbered step: its title, its words, and the rows of its tables (cells joined by a blank)."""

    title: str
    words: str = ""
    rows: list[tuple[str, str]] = field(default_factory=list)


def steps(pages: Iterable[Page]) -> list[Step]:
    """The numbered steps of the milling pages. A row starts with bold words beside a box to tick."""
    found: list[Step] = []
    for page in pages:
        if page.kind != "milling":
            continue
        lines = [m for m in page.marks if isinstance(m, Line)]
        top = next(m.y1 for m in lines if m.weight == 2.0)
        foot = max((m.y1 for m in lines if m.weight == 0.6), default=page.height)
        ticks = [(m.x, m.y) for m in page.marks if getattr(m, "role", "") == "tick"]
        named = False
        for t in page.texts():
            if not top < t.y < foot:
                continue
            if t.role == "heading":
                if t.text == PICTURES:
                    return found
                if re.match(r"\d+\. ", t.text):
                    found.append(Step(t.text))
                else:
                    found[-1].title += " " + t.text
            elif found and t.role in ("", "caution-text"):
                named = _add(found[-1], t, ticks, named)
    return found


def _add(step: Step, t: Text, ticks: list[tuple[float, float]], named: bool) -> bool:
    """Put a text where it belongs; whether it was the name of a row, which may go on in the next line."""
    if t.bold and any(abs(t.x - x - 17) < 1 and 0 < t.y - y < 12 for x, y in ticks):
        step.rows.append((t.text, ""))
        return True
    if t.bold and named and step.rows:
        step.rows[-1] = (f"{step.rows[-1][0]} {t.text}", step.rows[-1][1])
        return True
    if not t.bold and step.rows:
        step.rows[-1] = (step.rows[-1][0], f"{step.rows[-1][1]} {t.text}".strip())
    else:
        step.words = f"{step.words} {t.text}".strip()
    return False


@dataclass(frozen=True)
class Printed:
    """One cut as printed: its number in the order of work, its figures on the board's sheet; `start` and `end` None where it
    goes right through."""

    order: int
    at: F
    start: F | None
    end: F | None


def cuts(text: str, sheet: ReadBoard, units: str) -> Iterator[Printed]:
    """The cuts of one row, `3, 4 ✓done, 8`, with the figures of the sheet."""
    inch = F(1) if units == "in" else F(10, 254)
    for number in text.split(", "):
        c = sheet.cuts[int(number.removesuffix("✓done"))]
        yield Printed(c.order, c.at * inch, *(None if v is None else v * inch for v in (c.start, c.end)))


def names(text: str) -> list[str]:
    """The blanks of a list in full: `W4-a, -b, W14-d layer 1`."""
    found: list[str] = []
    for name in text.split(", "):
        found.append(found[-1].rpartition("-")[0] + name if name.startswith("-") and found else name)
    return found


def named(piece: str, text: str) -> bool:
    """Whether a list of pieces names one: `kicker#2`, `kicker#1, #2`, `kicker#1 to #6`."""
    part, _, number = piece.rpartition("#")
    for m in re.finditer(re.escape(part) + r"((?:#\d+(?: to #\d+)?(?:, (?=#))?)+)", text):
        for first, _, last in re.findall(r"#(\d+)( to #(\d+))?", m[1]):
            if int(first) <= int(number) <= int(last or first):
                return True
    return False


@dataclass(frozen=True)
class Wood:
    """A rectangle of wood on the bench."""

    x0: F
    y0: F
    x1: F
    y1: F

    def holds(self, x: F, y: F, length: F, width: F) -> bool:
        return self.x0 <= x and x + length <= self.x1 and self.y0 <= y and y + width <= self.y1


HAIR = F(1, 64)


def saw(pieces: list[Wood], kind: str, cut: Printed, kerf: F) -> list[Wood]:
    """The wood after one cut right through exactly one piece. Raises `AssertionError` where the words would have a person
    saw through more than one piece, part of a piece, or air."""
    crosscut = kind == "crosscut"

    def extent(w: Wood) -> tuple[F, F, F, F]:
        """(from, to) along the measure of `at`, (from, to) along the cut."""
        return (w.x0, w.x1, w.y0, w.y1) if crosscut else (w.y0, w.y1, w.x0, w.x1)

    under = [w for w in pieces if extent(w)[0] < cut.at + kerf - HAIR and cut.at + HAIR < extent(w)[1]]
    if cut.start is not None and cut.end is not None:
        under = [w for w in under if extent(w)[2] < cut.end - HAIR and cut.start + HAIR < extent(w)[3]]
    assert len(under) == 1, f"{kind} {cut} lies on {len(under)} pieces: {under}"
    (w,) = under
    if cut.start is not None and cut.end is not None:
        assert cut.start <= extent(w)[2] + HAIR, f"{kind} {cut} stops inside {w}"
        assert cut.end >= extent(w)[3] - HAIR, f"{kind} {cut} stops inside {w}"
    halves = (
        [Wood(w.x0, w.y0, cut.at, w.y1), Wood(cut.at + kerf, w.y0, w.x1, w.y1)]
        if crosscut
        else [Wood(w.x0, w.y0, w.x1, cut.at), Wood(w.x0, cut.at + kerf, w.x1, w.y1)]
    )
    return [p for p in pieces if p is not w] + [h for h in halves if h.x0 < h.x1 and h.y0 < h.y1]
