"""What is lettered on a piece or blank: ways of saying it, from the full name down to the ringed number of the parts list."""

from __future__ import annotations

from collections.abc import Sequence

from yieldopt.drawing.page.lettering import clean, shorten, width_of
from yieldopt.drawing.page.marks import Segment
from yieldopt.drawing.setting import Setting
from yieldopt.wood.plan import Blank, Piece

Lines = Sequence[Sequence[Segment]]

NAME, PLAIN = 9.5, 9.0
# A name that is cut short still says something from this width on, in points.
WORTH_CUTTING = 90.0
# Between the stretches of one line, as `marks.block` lays them.
GAP = 6.0


def code(piece: Piece, s: Setting, size: float = PLAIN) -> list[Segment]:
    """The shortest name of a piece: its part's number in a ring, and which of them it is."""
    suffix = piece.piece.removeprefix(piece.part) + ("✓" if piece.state == "done" else "")
    return [Segment(str(s.part_numbers[piece.part]), size, True, True), Segment(clean(suffix), size, True)]


def piece_ways(cell: Sequence[Piece], s: Setting, room: float) -> list[Lines]:
    """Ways of naming the pieces over one footprint in lines of at most `room` points, the fullest first. Layers run
    from face A down."""
    pieces = sorted(cell, key=lambda p: p.layer)
    mark = "△ " if s.has_triangle(pieces[0]) else ""
    ways: list[Lines] = []
    for layer in ("layer {}: ", "{}: ") if pieces[0].layers > 1 else ("",):
        lines = [_full(p, mark + layer.format(p.layer), s, room) for p in pieces]
        if all(fits for _, fits in lines):
            ways.append([line for line, _ in lines])
            break
    else:
        if room >= WORTH_CUTTING:
            ways.append([line for line, _ in lines])
    codes: list[Segment] = []
    for p in pieces:
        codes += [*([Segment("over", PLAIN)] if codes else []), *code(p, s)]
    if mark:
        ways.append([[Segment("△", PLAIN, True), *codes]])
    return [*ways, [codes]]


def _full(p: Piece, before: str, s: Setting, room: float) -> tuple[list[Segment], bool]:
    """A piece's ringed number and whole name, and whether that fits; cut short where it doesn't."""
    number = Segment(str(s.part_numbers[p.part]), NAME, True, True)
    text = before + clean(p.piece) + (" ✓done" if p.state == "done" else "") + (" shows B" if p.show == "B" else "")
    left = room - number.width - GAP
    if width_of(text, NAME, True) <= left:
        return [number, Segment(text, NAME, True)], True
    return [number, Segment(shorten(text, max(left, 0), NAME, True), NAME, True)], False


def blank_names(blank: Blank, board: str, room: float) -> list[str]:
    """The blank's name, and what stays of it without the board's, for strips too small for the whole."""
    name = shorten(blank.blank, min(room, 170), PLAIN, True)
    rest = clean(blank.blank.removeprefix(board))
    return [name, rest] if rest.startswith("-") and len(rest) > 1 and rest != name else [name]
