"""The code on a board's sheet: which job, revision and board it is, so that a phone can tell an old sheet from the newest."""

from __future__ import annotations

from yieldopt.drawing.flow import Flow
from yieldopt.drawing.labels import MODULE, SMALLEST_SIDE, qr_cells
from yieldopt.drawing.lettering import ABOVE, LEADING, wrap
from yieldopt.drawing.primitives import Squares, Text
from yieldopt.drawing.setting import Setting
from yieldopt.plan import BoardPlan

# Quiet zone round a code, in modules (ISO/IEC 18004).
QUIET = 4
# Longest name of a board or job that still makes a code which prints well; longer ones are cut short.
LONGEST = 120


def payload(job: str, revision: int, board: str) -> str:
    """What the code says."""
    return f"sheet: {board[:LONGEST]}\njob: {job[:LONGEST]}\nrevision: {revision}"


def sheet_code(flow: Flow, s: Setting, bp: BoardPlan) -> None:
    """Code and a word beside it, on paper only: a sheet on a phone comes with its plan."""
    if flow.paper.height is None:
        return
    text = payload(s.plan.job, s.plan.revision, bp.board)
    cells, modules = qr_cells(text)
    module = max(MODULE, SMALLEST_SIDE / modules)
    side = module * (modules + 2 * QUIET)
    flow.need(side + 4)
    x, y = flow.left + QUIET * module, flow.y + QUIET * module
    flow.page.add(Squares(x, y, module, cells, "qr", (("payload", text),)))
    told = (
        f"This sheet is of plan revision {s.plan.revision}. Take a picture of the code with the phone page, or type the revision "
        "there: it says whether a newer plan has replaced the sheet."
    )
    beside = flow.left + side + 6
    for n, line in enumerate(wrap(told, flow.right - beside, 9.0, most=4)):
        flow.page.add(Text(beside, y + 9.0 * ABOVE + n * 9.0 * LEADING, line, 9.0, role="code-text"))
    flow.y += side + 4
