"""What to do where the wood is otherwise than it was logged: one case a row, to be read at the saw."""

from __future__ import annotations

from collections.abc import Collection

from yieldopt.drawing.board.secondpages import SURPRISES, flaw_rows, second_rows, shown_pieces
from yieldopt.drawing.page.flow import Column, Flow
from yieldopt.drawing.page.primitives import Page
from yieldopt.drawing.setting import Setting
from yieldopt.wood.plan import BoardPlan

# What to do first, in order.
FIRST = (
    "Stop. Cut nothing more out of that board.",
    "A show face opens badly: find its piece below, mark the place beside it, and look at both faces there before you cut.",
    "That place is taken or bad too: take the other one. Two pieces may name one place; the first to fail has it.",
    "No place left, or a flaw where none was logged: note what is cut, log the flaw, and plan again. What is cut stays.",
)


def second_pages(s: Setting, boards: Collection[str] | None = None) -> list[Page]:
    """Second choices and flaws in figures, of these boards or of all; nothing where there are none."""
    plans = [bp for bp in s.plan.boards if boards is None or bp.board in boards]
    if not any(shown_pieces(s, bp) or s.board(bp.board).defects for bp in plans):
        return []
    flow = Flow(s.paper, s.running(SURPRISES, "second"), dense=True)
    for text in FIRST:
        flow.paragraph(text, 11, tick=True)
        flow.gap(2)
    _places(flow, s, plans)
    flow.in_columns(2, lambda f: _flaws(f, s, plans))
    return flow.finish()


def _places(flow: Flow, s: Setting, plans: Collection[BoardPlan]) -> None:
    rows = [(pieces, bp.board, first, other) for bp in plans for _, pieces, _, first, other in second_rows(s, bp)]
    if not rows:
        return
    flow.heading("If a show face opens badly")
    flow.paragraph("A place is the near corner at the datum end, then the rough size; costs are what it adds at most.", 9)
    flow.table([Column("this piece", True, 90), Column("planned on", least=40), Column("take it from"), Column("or from")], rows)


def _flaws(flow: Flow, s: Setting, plans: Collection[BoardPlan]) -> None:
    rows = [row for bp in plans for row in flaw_rows(s, s.board(bp.board))]
    if not rows:
        return
    flow.heading("Flaws as logged")
    heads = (("board", True), ("flaw", False), ("face", False), ("from datum end", True), ("from near edge", True))
    flow.table([Column(head, bold) for head, bold in heads], rows)
