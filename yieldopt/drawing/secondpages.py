"""Second choice: where else each show part could come from."""

from __future__ import annotations

from collections.abc import Sequence

from yieldopt.drawing.flow import Flow
from yieldopt.drawing.primitives import Page
from yieldopt.drawing.setting import Setting
from yieldopt.insight.second_choice import Choice, moves_as_a_set, show_pieces
from yieldopt.plan import BoardPlan, Piece


def second_pages(s: Setting) -> list[Page]:
    """A row for each show piece, or for all of one part or set that would go to the same places."""
    flow = Flow(s.paper, s.running("Second choice", "second"), dense=True)
    flow.paragraph(
        "If a show face opens badly, these places were clear by what is logged. Figures are the near corner at the datum end, "
        "then the rough size. Two pieces may name one place: whichever fails first takes it. After that plan again, and keep "
        "what is cut. Costs are what the place adds to the plan at most, in the job's money."
    )
    rows = _rows(s, {p.piece: bp.board for bp, p in s.plan.pieces()}, show_pieces(s.job, s.plan))
    flow.begin_columns(2)
    for _, pieces, planned, first, other in rows:
        flow.paragraph(f"{pieces} (planned {planned}): else {first}{f'; or {other}' if other else ''}.", 9)
    return flow.finish()


def shown_pieces(s: Setting, bp: BoardPlan) -> list[Piece]:
    """The show pieces of one board."""
    here = {p.piece for p in bp.pieces}
    return [p for p in show_pieces(s.job, s.plan) if p.piece in here]


def board_seconds(flow: Flow, s: Setting, bp: BoardPlan) -> None:
    """The same for the show pieces of one board, on its sheet."""
    shown = shown_pieces(s, bp)
    if shown:
        flow.heading("If a show face opens badly", keep=24)
        here = dict.fromkeys((p.piece for p in bp.pieces), "")
        for _, pieces, _, first, other in s.rows("seconds", bp.board, lambda: _rows(s, here, shown)):
            more = f"; or {other}" if other else ""
            flow.paragraph(f"{pieces}: else {first}{more}.", 9)


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
        rows.append((" ".join(map(str, numbers)), ", ".join(p.piece for p in pieces), ", ".join(planned), first, other))
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
