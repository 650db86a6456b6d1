"""The code on a board's sheet: which job, revision and board it is, so that a phone can tell an old sheet from the newest."""

from __future__ import annotations

from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.page.primitives import Squares
from yieldopt.drawing.page.qr import MODULE, SMALLEST_SIDE, qr_cells
from yieldopt.drawing.setting import Setting
from yieldopt.wood.plan import BoardPlan

# Quiet zone round a code, in modules (ISO/IEC 18004).
QUIET = 4
# Longest name of a board or job that still makes a code which prints well; longer ones are cut short.
LONGEST = 120


def payload(job: str, revision: int, board: str) -> str:
    """What the code says."""
    return f"sheet: {board[:LONGEST]}\njob: {job[:LONGEST]}\nrevision: {revision}"


def sheet_code(flow: Flow, s: Setting, bp: BoardPlan) -> float:
    """Lay the code down in the top right corner, where it costs no page of its own, and keep what follows clear of it; returns
    where it ends. On paper only: a sheet on a phone comes with its plan."""
    if flow.paper.height is None:
        return flow.y
    text = payload(s.plan.job, s.plan.revision, bp.board)
    cells, modules = qr_cells(text)
    module = max(MODULE, SMALLEST_SIDE / modules)
    side = module * (modules + 2 * QUIET)
    # The page's margin is quiet on the right.
    x, y = flow.right - module * modules, flow.y + QUIET * module / 2
    flow.page.add(Squares(x, y, module, cells, "qr", (("payload", text),)))
    flow.beside = side - QUIET * module + 2
    return y + module * modules + 4


def code_words(s: Setting) -> str:
    """What the code is for."""
    return (
        f"The code tells the phone page that this sheet is of plan revision {s.plan.revision}, and whether a newer plan has "
        "replaced it."
    )
