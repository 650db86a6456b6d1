"""Second choice: where else each show part could come from."""

from __future__ import annotations

from yieldopt.drawing.flow import Column, Flow
from yieldopt.drawing.primitives import Page
from yieldopt.drawing.setting import Setting
from yieldopt.second_choice import moves_as_a_set, show_pieces


def second_pages(s: Setting) -> list[Page]:
    """A row for each show piece; pieces of one set move together."""
    flow = Flow(s.paper, s.running("Second choice", "second"))
    flow.paragraph(
        "If a show face opens badly, these places were clear by what is logged. Two pieces may name one place: "
        "whichever fails first takes "
        "it. After that plan again, and keep what is cut."
    )
    rows = []
    boards = {p.piece: bp.board for bp, p in s.plan.pieces()}
    for piece in show_pieces(s.job, s.plan):
        part = s.job.part_named[piece.part]
        choices = s.choices.get(piece.piece, ())
        texts = [f"{c.board} ({c.wood}) at {s.main(c.x)}, {s.main(c.y)}: {s.size(c.length, c.width)}" for c in choices]
        if not texts:
            texts = [
                f"with its set ({piece.set or part.match or 'glue-up'}): plan again"
                if moves_as_a_set(part, piece)
                else "none in the rack"
            ]
        rows.append((piece.piece, f"{boards[piece.piece]} {piece.blank}", texts[0], texts[1] if len(texts) > 1 else ""))
    flow.table([Column("piece", True), Column("planned"), Column("else from"), Column("or from")], rows)
    return flow.finish()
