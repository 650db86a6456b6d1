"""Second choices and flaws in figures of many boards: for when the wood is otherwise than it was logged."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from yieldopt.drawing.board.secondpages import SURPRISES, defect_words, second_rows, shown_pieces
from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.page.primitives import Page
from yieldopt.drawing.setting import Setting
from yieldopt.plan import BoardPlan


def second_pages(s: Setting, boards: Collection[str] | None = None) -> list[Page]:
    """Second choices and flaws in figures, of these boards or of all; nothing where there are none."""
    plans = [bp for bp in s.plan.boards if boards is None or bp.board in boards]
    if not any(shown_pieces(s, bp) or s.board(bp.board).defects for bp in plans):
        return []
    flow = Flow(s.paper, s.running(SURPRISES, "second"), dense=True)
    flow.paragraph(
        "If a show face opens badly, these places were clear by what is logged. Figures are the near corner at the datum end, "
        "then the rough size. Two pieces may name one place: whichever fails first takes it. After that plan again, and keep "
        "what is cut. Costs are what the place adds to the plan at most, in the job's money. Flaws are those logged: from "
        "where to where from the datum end; from the near edge.",
        9,
    )
    flow.in_columns(2, lambda f: _surprises(f, s, plans))
    return flow.finish()


def _surprises(flow: Flow, s: Setting, plans: Sequence[BoardPlan]) -> None:
    for bp in plans:
        rows, flaws = second_rows(s, bp), defect_words(s, s.board(bp.board))
        said = [f"{pieces}: else {first}{f'; or {other}' if other else ''}." for _, pieces, _, first, other in rows]
        said += [f"Flaws: {flaws}"] if flaws else []
        if said:
            flow.lead(bp.board, " ".join(said))
