"""A board drawn with characters, for the terminal: each face to scale along the length, defects by a letter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.ground.lengths import Units, as_typed
from yieldopt.wood.lumber import Board, Defect

# One letter a kind, sound ones small; also the key under the drawing.
LETTERS = {
    "knot": "k",
    "sapwood": "s",
    "streak": "r",
    "stain": "t",
    "loose knot": "L",
    "check": "C",
    "split": "X",
    "wane": "W",
    "pith": "P",
    "worm": "O",
    "bark": "B",
    "other": "?",
}
MOST_LINES, FEWEST_LINES = 14, 3
# A character cell of a terminal is about twice as high as wide.
CELL_SHAPE = 2


@dataclass(frozen=True, slots=True)
class Strokes:
    """What the drawing is made of; one character each."""

    edge: str
    end: str
    wood: str
    tick: str


UNICODE = Strokes("─", "│", " ", "╵")
ASCII = Strokes("-", "|", " ", "'")


def sketch(board: Board, units: Units = "in", columns: int = 78, ascii_only: bool = False) -> list[str]:
    """The lines of the drawing: face A, face B (seen through the board) if it has defects of its own, a ruler, a key."""
    s = ASCII if ascii_only else UNICODE
    wide = max(20, columns - 2)
    lowest, highest = min(p.near for p in board.outline), max(p.far for p in board.outline)
    rows = round((highest - lowest) / board.length * wide / CELL_SHAPE)
    rows = max(FEWEST_LINES, min(MOST_LINES, rows))
    lines = []
    only_b = any(d.seen_on == "B" for d in board.defects)
    for face in ("A", "B") if only_b else ("A",):
        shown = [d for d in board.defects if d.seen_on in (face, "both")]
        note = "far edge at the top, datum end at the left" if face == "A" else "seen through the board"
        lines += [f"face {face} ({note})", *_face(board, shown, wide, rows, lowest, highest, s)]
    lines += _ruler(board.length, wide, units, s)
    kinds = sorted({d.kind for d in board.defects})
    if kinds:
        lines.append("key: " + ", ".join(f"{LETTERS[k]} {k}" for k in kinds))
    return lines


def _face(
    board: Board, defects: Sequence[Defect], wide: int, rows: int, lowest: Fraction, highest: Fraction, s: Strokes
) -> list[str]:
    step_x, step_y = board.length / wide, (highest - lowest) / rows
    middles = [highest - (r + Fraction(1, 2)) * step_y for r in range(rows)]
    # Near and far edge in the middle of each column.
    edges = [board.channel(x, x) for x in ((c + Fraction(1, 2)) * step_x for c in range(wide))]
    inside = [[near <= y <= far for near, far in edges] for y in middles]
    grid = [[s.wood] * wide for _ in middles]
    for d in defects:
        # Every defect shows, however small: at least the cell its middle is in.
        columns = range(int(d.x / step_x), max(int(d.x / step_x) + 1, min(wide, round((d.x + d.length) / step_x))))
        first = int((highest - d.y - d.width) / step_y)
        for r in range(first, max(first + 1, min(rows, round((highest - d.y) / step_y)))):
            for c in columns:
                if 0 <= r < rows and 0 <= c < wide:
                    grid[r][c] = LETTERS[d.kind]
                    inside[r][c] = True
    top = " " + "".join(s.edge if inside[0][c] else " " for c in range(wide)) + " "
    bottom = " " + "".join(s.edge if inside[-1][c] else " " for c in range(wide)) + " "
    body = []
    for r in range(rows):
        cells = grid[r]
        for c in range(wide):
            # Where the outline steps in, its edge runs through the first cell that is no longer wood.
            if not inside[r][c] and ((r and inside[r - 1][c]) or (r + 1 < rows and inside[r + 1][c])):
                cells[c] = s.edge
        body.append((s.end if inside[r][0] else " ") + "".join(cells) + (s.end if inside[r][-1] else " "))
    return [line.rstrip() for line in (top, *body, bottom)]


def _ruler(length: Fraction, wide: int, units: Units, s: Strokes) -> list[str]:
    """Round distances from the datum end, and the length at the end."""
    unit = Fraction(1) if units == "in" else Fraction(10, 254)
    step = next(
        (n * unit for n in (1, 2, 6, 12, 24, 48, 100, 200, 500, 1000, 2000, 5000) if n * unit / length * wide >= 8), length
    )
    marks, figures = [" "] * (wide + 2), [" "] * (wide + 8)
    x = Fraction(0)
    while x < length - step / 2:
        place = 1 + int(x / length * wide)
        marks[place] = s.tick
        for k, c in enumerate(as_typed(x, units)):
            figures[place + k] = c
        x += step
    marks[wide] = s.tick
    label = (
        as_typed(length, units)
        if len(as_typed(length, units)) <= 7
        else f"~{round(float(length if units == 'in' else length / unit))}"
    )
    for k, c in enumerate(label):
        figures[wide + k] = c
    return ["".join(marks).rstrip(), "".join(figures).rstrip()]
