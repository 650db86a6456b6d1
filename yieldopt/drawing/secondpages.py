"""Second choice: where else each show part could come from."""

from __future__ import annotations

from collections.abc import Sequence

from yieldopt.drawing.flow import Column, Flow
from yieldopt.drawing.primitives import Page
from yieldopt.drawing.setting import Setting
from yieldopt.plan import BoardPlan, Piece
from yieldopt.second_choice import Choice, moves_as_a_set, show_pieces

HEADS = ("no.", "piece", "planned", "else from", "or from")


def second_pages(s: Setting) -> list[Page]:
    """A row for each show piece, or for all of one part or set that would go to the same places."""
    flow = Flow(s.paper, s.running("Second choice", "second"))
    flow.paragraph(
        "If a show face opens badly, these places were clear by what is logged. Figures are the near corner at the datum end, "
        "then the rough size. Two pieces may name one place: whichever fails first takes it. After that plan again, and keep "
        "what is cut."
    )
    _table(flow, _rows(s, {p.piece: bp.board for bp, p in s.plan.pieces()}, show_pieces(s.job, s.plan)))
    return flow.finish()


def board_seconds(flow: Flow, s: Setting, bp: BoardPlan) -> None:
    """The same for the show pieces of one board, on its sheet."""
    here = {p.piece for p in bp.pieces}
    shown = [p for p in show_pieces(s.job, s.plan) if p.piece in here]
    if shown:
        flow.heading("If a show face opens badly")
        _table(flow, _rows(s, dict.fromkeys(here, ""), shown))


def _table(flow: Flow, rows: Sequence[tuple[str, ...]]) -> None:
    number, piece, planned, first, other = HEADS
    columns = [Column(number, True, 30, ringed=True), Column(piece, True), Column(planned), Column(first, least=120), Column(other)]
    flow.table(columns, rows)


def _rows(s: Setting, boards: dict[str, str], shown: Sequence[Piece]) -> list[tuple[str, ...]]:
    groups: dict[tuple[str, ...], list[Piece]] = {}
    for piece in shown:
        part = s.job.part_named[piece.part]
        choices = s.choices.get(piece.piece, ())
        texts = [_told(c, s) for c in choices]
        if not texts:
            texts = ["no room for the whole set: plan again" if moves_as_a_set(part, piece) else "none in the rack"]
        whole = tuple(p for p in (choices[0].together if choices else ()))
        key = (piece.set or "" if moves_as_a_set(part, piece) else piece.part, *whole, texts[0], texts[1] if len(texts) > 1 else "")
        groups.setdefault(key, []).append(piece)
    rows = []
    for (*_, first, other), pieces in groups.items():
        planned = sorted({f"{boards[p.piece]} {p.blank}".strip() for p in pieces})
        numbers = sorted({s.part_numbers[p.part] for p in pieces})
        rows.append((" ".join(map(str, numbers)), ", ".join(p.piece for p in pieces), ", ".join(planned), first, other))
    return rows


def _told(c: Choice, s: Setting) -> str:
    together = f"all {len(c.together)} together: " if c.together else ""
    return f"{together}{c.board} ({c.wood}) at {s.main(c.x)}, {s.main(c.y)}: {s.size(c.length, c.width)}"
