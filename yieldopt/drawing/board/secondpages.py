"""Where else each show part could come from, and the flaws in figures: for when the wood is otherwise than it was logged."""

from __future__ import annotations

from collections.abc import Sequence

from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words.gathered import pieces_words
from yieldopt.insight.second_choice import Choice, moves_as_a_set, show_pieces
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import BoardPlan, Piece

# The pages' title, by which sheets call them.
SURPRISES = "If the wood surprises you"


def shown_pieces(s: Setting, bp: BoardPlan) -> list[Piece]:
    """The show pieces of one board."""
    here = {p.piece for p in bp.pieces}
    return [p for p in show_pieces(s.job, s.plan) if p.piece in here]


def second_rows(s: Setting, bp: BoardPlan) -> list[tuple[str, ...]]:
    """(numbers of its parts, pieces, where they are planned, first and second other place) of one board's show pieces."""
    here = dict.fromkeys((p.piece for p in bp.pieces), "")
    return s.rows("seconds", bp.board, lambda: _rows(s, here, shown_pieces(s, bp)))


def board_seconds(flow: Flow, s: Setting, bp: BoardPlan) -> None:
    """The same for the show pieces of one board, on its sheet."""
    rows = second_rows(s, bp)
    if rows:
        flow.heading("If a show face opens badly", keep=24)
        for _, pieces, _, first, other in rows:
            flow.paragraph(f"{pieces}: else {first}{f'; or {other}' if other else ''}.", 9)


def defect_list(flow: Flow, s: Setting, board: Board) -> None:
    """What was logged, with its place."""
    words = defect_words(s, board)
    if words:
        flow.heading("Flaws as logged", keep=24)
        flow.paragraph(f"From the datum end; from the near edge: {words}", 9)


def defect_words(s: Setting, board: Board) -> str:
    """`knot on face A at 20 to 21; 2 to 3.`: from where to where from the datum end; from the near edge."""
    faces = {"A": "face A", "B": "face B", "both": "both faces"}
    said = [f"{kind} on {faces[face]} at {along}; {across}" for _, kind, face, along, across in flaw_rows(s, board)]
    return f"{' · '.join(said)}." if said else ""


def flaw_rows(s: Setting, board: Board) -> list[tuple[str, ...]]:
    """(board, flaw, face it is seen on, from where to where from the datum end, the same from the near edge)."""
    return [
        (
            board.name,
            d.kind,
            d.seen_on,
            f"{s.main(d.x)} to {s.main(d.x + d.length)}",
            f"{s.main(d.y)} to {s.main(d.y + d.width)}",
        )
        for d in board.defects
    ]


def _rows(s: Setting, boards: dict[str, str], shown: Sequence[Piece]) -> list[tuple[str, ...]]:
    groups: dict[tuple[str, ...], list[Piece]] = {}
    for piece in shown:
        first, *more = [_told(c, s) for c in s.choices.get(piece.piece, ())] or [_none(piece, s)]
        own = piece.set or "" if moves_as_a_set(s.job.part_named[piece.part], piece) else piece.part
        groups.setdefault((own, first, more[0] if more else ""), []).append(piece)
    rows: list[tuple[str, ...]] = []
    for (_, first, other), pieces in groups.items():
        planned = sorted({f"{boards[p.piece]} {p.blank}".strip() for p in pieces})
        numbers = sorted({s.part_numbers[p.part] for p in pieces})
        rows.append((" ".join(map(str, numbers)), pieces_words(pieces), ", ".join(planned), first, other))
    return rows


def _told(c: Choice, s: Setting) -> str:
    together = f"all {len(c.together)} together: " if c.together else ""
    cost = "" if c.cost is None else f", costs {float(c.cost):.2f}" if c.cost else ", costs nothing"
    return f"{together}{c.board} ({c.wood}) at {s.main(c.x)}, {s.main(c.y)}: {s.size(c.length, c.width)}{cost}"


def _none(piece: Piece, s: Setting) -> str:
    """What to look for where the rack has no other place."""
    part = s.job.part_named[piece.part]
    length, width = piece.length, piece.width
    if moves_as_a_set(part, piece):
        blank = next(b for bp in s.plan.boards for b in bp.blanks if b.blank == piece.blank)
        length, width = blank.length, blank.width
    need = s.main(s.blank_slack[piece.blank].need)
    return f"none in the rack: needs {part.species} {need} thick, {s.size(length, width)} clear"
