"""The few things a page is made of. Front ends put them on a `Page`; back ends write the page out.

Page units are points (1/72 in), origin at the top left, `y` down. `grey` and `fill` run from 0 (black) to 1 (white).
`ink` and `tint` are colours of stroke and fill as `#rrggbb`; empty: `grey` and `fill` in black and white.
`role` and `data` say what a mark stands for (a blank, a cut) so that a drawing can be read back and compared.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

Point = tuple[float, float]
Data = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke."""

    x1: float
    y1: float
    x2: float
    y2: float
    weight: float = 0.6
    dash: tuple[float, ...] = ()
    grey: float = 0.0
    role: str = ""
    data: Data = ()
    ink: str = ""


@dataclass(frozen=True, slots=True)
class Rect:
    """An upright rectangle; `weight` 0 draws no outline, `fill` None leaves what is below."""

    x: float
    y: float
    width: float
    height: float
    weight: float = 0.6
    fill: float | None = None
    dash: tuple[float, ...] = ()
    grey: float = 0.0
    role: str = ""
    data: Data = ()
    ink: str = ""
    tint: str = ""


@dataclass(frozen=True, slots=True)
class Polygon:
    """Straight strokes through `points`, closed or open."""

    points: tuple[Point, ...]
    weight: float = 0.6
    fill: float | None = None
    dash: tuple[float, ...] = ()
    grey: float = 0.0
    closed: bool = True
    role: str = ""
    data: Data = ()
    ink: str = ""
    tint: str = ""


@dataclass(frozen=True, slots=True)
class Hatch:
    """Parallel strokes that fill the polygon `points`; `angle` in degrees, counted anticlockwise on the page."""

    points: tuple[Point, ...]
    angle: float = 45.0
    gap: float = 5.0
    weight: float = 0.4
    grey: float = 0.45
    role: str = ""
    data: Data = ()
    ink: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of lettering. (x, y) is on the base line, at its start, middle or end; `turned` reads bottom to top."""

    x: float
    y: float
    text: str
    size: float = 9.0
    bold: bool = False
    anchor: str = "start"
    turned: bool = False
    role: str = ""
    data: Data = ()


@dataclass(frozen=True, slots=True)
class Squares:
    """Black squares of side `side` at (column, row) from (x, y): a QR code."""

    x: float
    y: float
    side: float
    cells: tuple[tuple[int, int], ...]
    role: str = ""
    data: Data = ()


Mark = Line | Rect | Polygon | Hatch | Text | Squares


@dataclass(slots=True)
class Page:
    """A recording: what lies on one page, in the order it is laid down (later marks cover earlier ones)."""

    width: float
    height: float
    title: str
    # What the page is for: "cover", "sheet", "milling", "labels", ...
    kind: str = ""
    marks: list[Mark] = field(default_factory=list)

    def add(self, *marks: Mark) -> None:
        self.marks.extend(marks)

    def texts(self) -> Iterator[Text]:
        return (m for m in self.marks if isinstance(m, Text))


def runs(cells: tuple[tuple[int, int], ...]) -> list[tuple[int, int, int]]:
    """(column, row, length) of the unbroken runs in cells that are sorted by row, then column."""
    found: list[tuple[int, int, int]] = []
    for c, r in cells:
        if found and found[-1][1] == r and found[-1][0] + found[-1][2] == c:
            found[-1] = (found[-1][0], r, found[-1][2] + 1)
        else:
            found.append((c, r, 1))
    return found
