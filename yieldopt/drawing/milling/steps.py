"""The numbered steps of the milling order, and how its lists say a cut or a day."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from yieldopt.drawing.page.flow import Column, Flow
from yieldopt.drawing.setting import Setting
from yieldopt.wood.plan import Blank, Cut

# To fill in with a pencil.
BLANK_LINE = "______________"
# A hair's breadth: cut ends and edges closer than this are one.
HAIR = Fraction(1, 64)


# On paper.
COLUMNS = 2


class Steps:
    """Pages of numbered steps; a step that a job does not need takes no number."""

    def __init__(self, s: Setting) -> None:
        self.s = s
        self.flow = Flow(s.paper, s.running("Milling order", "milling"), dense=True)
        self.number = 0
        self.flow.begin_columns(COLUMNS)

    def step(self, title: str, *words: str) -> None:
        """Begin a step: its heading, then its paragraphs."""
        self.number += 1
        self.flow.heading(f"{self.number}. {title}")
        for text in words:
            self.flow.paragraph(text, 9)

    def table(self, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
        """A table with a box to tick before each row; columns in which nothing stands are left out."""
        filled = [i for i, _ in enumerate(columns) if any(row[i] for row in rows)]
        self.flow.table([columns[i] for i in filled], [[row[i] for i in filled] for row in rows], tick=True)

    def items(self, rows: Sequence[tuple[str, str]]) -> None:
        """A box to tick for each row of a name and a few words."""
        self.flow.items(rows)


def days(number: Fraction) -> str:
    """`14 days`."""
    return f"{float(number):g} day{'' if number == 1 else 's'}"


def hours(number: Fraction) -> str:
    """`24 hours`."""
    return f"{float(number):g} hour{'' if number == 1 else 's'}"


def final_cut(cut: Cut, blank: Blank, s: Setting) -> str:
    """A cut in a blank, measured from the blank's own datum end and near edge: its number, its figure, and from where to where
    it runs unless it goes right through."""
    crosscut = cut.kind == "crosscut"
    low, span = (blank.y, blank.width) if crosscut else (blank.x, blank.length)
    start, end = cut.start - low, cut.end - low
    runs = "" if start <= HAIR and end >= span - HAIR else f"{'across' if crosscut else 'along'} {s.main(start)} to {s.main(end)}"
    layer = f"layer {cut.layer}" if cut.layer and blank.layers > 1 else ""
    at = s.main(cut.at - (blank.x if crosscut else blank.y))
    where = ", ".join(w for w in (layer, runs) if w)
    return f"{cut.order} at {at}{f' ({where})' if where else ''}{done(cut)}"


def done(cut: Cut) -> str:
    """What stands behind a cut that is made."""
    return " ✓done" if cut.state == "done" else ""
