"""Page 1: the boards to fetch in the order in which they lie, each with a small picture and what comes out of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from yieldopt.drawing.board.thumbnail import draw_board, height_of
from yieldopt.drawing.packet.cover import general_cautions, missing
from yieldopt.drawing.page.flow import TICK, Flow
from yieldopt.drawing.page.lettering import ABOVE, shorten, wrap
from yieldopt.drawing.page.primitives import Line, Page, Rect, Text
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.cautions import glue_up_cautions
from yieldopt.insight.unpriced import unpriced
from yieldopt.wood.plan import BoardPlan
from yieldopt.wood.volumes import in_volume

# Widths of the columns: board, place, size, picture. What comes out of the board takes the rest.
BOARD, PLACE, SIZE, PICTURE = 36.0, 62.0, 100.0, 74.0
# Widths are drawn so many times larger than lengths in the pictures: a board is long.
WIDER = 2.0
PAD = 6.0

# Width of a column, and its lines with whether they are bold.
Cell = tuple[float, Sequence[tuple[str, bool]]]


def pull_pages(s: Setting) -> list[Page]:
    """The list, with the wood and money of the job in one line, what is missing, and the cautions of this job."""
    flow = Flow(s.paper, s.running(s.plan.job, "cover"), dense=True)
    flow.paragraph(_sum(s), 10, bold=True)
    for text in glue_up_cautions(s):
        flow.caution(text)
    if not s.plan.complete:
        missing(flow, s)
    flow.heading("Boards to fetch, in the order in which they lie", 12.5)
    for bp in in_their_places(s):
        _row(flow, s, bp)
    flow.in_columns(2, general_cautions)
    return flow.finish()


def _sum(s: Setting) -> str:
    boards = [s.board(bp.board) for bp in s.plan.boards]
    wood = sum((b.area * b.nominal for b in boards), Fraction(0))
    kept = sum((s.accounts[bp.board].kept for bp in s.plan.boards), Fraction(0))
    count = sum(1 for _ in s.plan.pieces())
    money = f"{s.plan.totals.net_cost:.2f} net of offcuts" if not unpriced(s.job, s.plan) else "cost not known for all of it"
    return (
        f"{count} pieces from {len(boards)} boards: {in_volume(wood, s.job.units)} of wood, of which "
        f"{in_volume(kept, s.job.units)} goes back to the rack; {money}."
    )


def in_their_places(s: Setting) -> list[BoardPlan]:
    """The boards by their place, figures in it by their value; boards without one come last, in the plan's order."""

    def key(bp: BoardPlan) -> tuple[bool, list[tuple[int, str]]]:
        place = s.board(bp.board).notes.get("place", "").casefold()
        return not place, [(int(w), "") if w.isdecimal() else (-1, w) for w in re.findall(r"\d+|\D+", place)]

    return sorted(s.plan.boards, key=key)


def comes_out(s: Setting, bp: BoardPlan) -> str:
    """`2 case side, top (staves)`: parts with how many pieces of each the board gives."""
    counts: dict[tuple[str, bool], int] = {}
    for p in bp.pieces:
        key = (p.part, p.stave is not None)
        counts[key] = counts.get(key, 0) + 1
    said = []
    for (part, stave), n in counts.items():
        many = f"{n} × " if n > 1 else ""
        said.append(f"{many}{part}{' stave' if stave else ''}{'s' if stave and n > 1 else ''}")
    return ", ".join(said) or "nothing: see its sheet"


def _row(flow: Flow, s: Setting, bp: BoardPlan) -> None:
    board = s.board(bp.board)
    narrow = flow.paper.height is None
    place = board.notes.get("place", "") or "place not noted"
    size = f"{s.size(board.length, board.greatest_width)} × {s.main(board.thickness)}"
    about = f"{board.species} {board.quarters}"
    note = board.notes.get("note", "")
    out = comes_out(s, bp) + (f". Noted: {note}" if note else "")
    if narrow:
        flow.paragraph(f"{bp.board} · {place} · {size} · {about}", 10, bold=True, tick=True)
        flow.paragraph(out, 9, indent=TICK + 6)
        return
    room = flow.inner_width - TICK - 6 - BOARD - PLACE - SIZE - PICTURE
    cells: Sequence[Cell] = (
        (BOARD, [(shorten(bp.board, BOARD - PAD, 9, True), True)]),
        (PLACE, [(t, True) for t in wrap(place, PLACE - PAD, 9, True, most=2)]),
        (SIZE, [(shorten(size, SIZE - PAD, 9, True), True), (shorten(about, SIZE - PAD, 9), False)]),
        (PICTURE, []),
        (room, [(t, False) for t in wrap(out, room, 9, most=4)]),
    )
    _lay(flow, s, bp, cells)


def _lay(flow: Flow, s: Setting, bp: BoardPlan, cells: Sequence[Cell]) -> None:
    longest = max(float(s.board(b.board).length) for b in s.plan.boards)
    points = (PICTURE - PAD) / longest
    tall = height_of(s.board(bp.board), points * WIDER)
    height = max(tall + 4, max(len(lines) for _, lines in cells) * 9 * flow.leading + 2)
    flow.need(height)
    flow.page.add(Rect(flow.left, flow.y + 1, TICK - 2, TICK - 2, 0.8, role="tick"))
    x = flow.left + TICK + 6
    for wide, lines in cells:
        if not lines:
            draw_board(flow.page, s, bp, x, flow.y + (height - tall) / 2, points, WIDER)
        for i, (text, bold) in enumerate(lines):
            flow.page.add(Text(x, flow.y + 1 + 9 * ABOVE + i * 9 * flow.leading, text, 9, bold, role="pull"))
        x += wide
    flow.y += height
    flow.page.add(Line(flow.left, flow.y - 0.5, flow.right, flow.y - 0.5, 0.25, grey=0.4))
