"""The milling order as a person reads it: steps, tables and cuts taken from the printed words alone; and a saw that follows
them on rectangles. Nothing here knows the packet's code or the plan's cuts: only pages and figures as printed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction as F

from yieldopt.drawing.primitives import Line, Page, Text

CUT = re.compile(
    r"(\d+) at (~?[-\d/ .]+?)(?: \((?:layer (\d+))?(?:, )?(?:(across|along) (~?[-\d/ .]+) to (~?[-\d/ .]+))?\))?(?: ✓done)?$"
)


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


def figure(text: str, units: str) -> F:
    """A printed length in inches: `20 3/4`, `-1/8`, `~5 27/64`, in a job in millimetres `187.5`."""
    sign = (-1 if "-" in text else 1) * (F(1) if units == "in" else F(10, 254))
    return sign * sum((F(w) for w in text.replace("~", "").replace("-", "").split()), F(0))


@dataclass(frozen=True)
class Printed:
    """One cut as printed; `start` and `end` None where nothing is said."""

    order: int
    at: F
    layer: int | None
    start: F | None
    end: F | None


def cuts(text: str, units: str) -> Iterator[Printed]:
    """The cuts of one row: `3 at 20 3/4 (across 3 1/8 to 9 3/8); 4 at 28`."""
    for one in re.sub(r"\s*\bdone$", "", text).split("; "):
        m = CUT.fullmatch(one.strip())
        assert m, one
        ends = (figure(m[5], units), figure(m[6], units)) if m[4] else (None, None)
        yield Printed(int(m[1]), figure(m[2], units), int(m[3]) if m[3] else None, *ends)


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
