"""Where a cut lies, in figures and words: the one source for sheets, lists and the phone at the bench."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import BoardPlan, Cut

SAWS = {
    ("rough", "crosscut"): "crosscut saw",
    ("rough", "rip"): "bandsaw",
    ("resaw", "resaw"): "bandsaw, fence",
    ("final", "rip"): "table saw",
    ("final", "crosscut"): "saw with stop",
}


class CutPlace(NamedTuple):
    """What to measure for a cut, in inches, and from where."""

    at: Fraction
    origin: str


def cut_place(cut: Cut, bp: BoardPlan, board: Board) -> CutPlace:
    """Rough cuts are measured on the board: from its datum end, from its near edge or the line snapped along it. Later ones
    are measured on the blank: from its datum end, its near edge or its flattened face A."""
    if cut.kind == "resaw":
        return CutPlace(cut.at, "below flattened face A")
    blank = next((b for b in bp.blanks if b.blank == cut.blank), None)
    if cut.stage == "rough" or blank is None:
        if cut.kind == "crosscut":
            return CutPlace(cut.at, "from the datum end")
        return CutPlace(cut.at, "from the snapped line" if board.edges else "from the near edge")
    if cut.kind == "crosscut":
        return CutPlace(cut.at - blank.x, "from blank's datum end")
    return CutPlace(cut.at - blank.y, "from blank's near edge")


def cut_what(cut: Cut) -> str:
    """The cut's stage and kind: `rough crosscut`, `resaw`, `final rip`."""
    return cut.kind if cut.stage == "resaw" else f"{cut.stage} {cut.kind}"
