"""Blanks that lie close to a split, a check or pith, where the job keeps nothing clear beside it: named on the sheet.

Practice keeps clear of what can't be seen: docs/reference/defaults.md names the sources of the figures.
"""

from __future__ import annotations

from fractions import Fraction

from yieldopt.drawing.setting import Setting
from yieldopt.wood.lumber import Board, Defect
from yieldopt.wood.plan import Blank, BoardPlan

INCH, NONE = Fraction(1), Fraction(0)
# Kind -> what practice keeps clear along and across the grain, beyond the rectangle.
PRACTICE = {"split": (INCH, NONE), "check": (INCH, NONE), "pith": (NONE, INCH)}
SAID = {
    "split": "A split runs on further than it shows, and machining opens it: look at the end of the blank, and keep one that has "
    "a crack in it out of the machines",
    "check": "A check runs on further than it shows: look again once the blank is cut, and cut back until no crack is left",
    "pith": "Wood beside pith splits as it dries: take pieces from the far side of the blank if there is a choice",
}


def margin_cautions(board: Board, bp: BoardPlan, s: Setting) -> list[str]:
    """A line for each kind of defect that the job sets no margin for, naming the blanks within what practice keeps clear."""
    a = s.job.shop.allowances
    unset = {"split": not a.split_along, "check": not a.check_along, "pith": not a.pith_across}
    out = []
    for kind, margin in PRACTICE.items():
        found = [d for d in board.defects if d.kind == kind] if unset[kind] else []
        near = [b.blank for b in bp.blanks if any(_near(b, d, *margin) for d in found) and not _allowed(s, bp, b, kind)]
        if near:
            out.append(f"{kind.upper()} CLOSE BY, within {s.main(INCH)}: {', '.join(near)}. {SAID[kind]}.")
    return out


def _near(b: Blank, d: Defect, along: Fraction, across: Fraction) -> bool:
    return (
        d.x - along < b.x + b.length
        and b.x < d.x + d.length + along
        and d.y - across < b.y + b.width
        and b.y < d.y + d.width + across
    )


def _allowed(s: Setting, bp: BoardPlan, blank: Blank, kind: str) -> bool:
    """Whether all that is cut from the blank may hold the defect anyway, or is finished."""
    return all(p.state == "done" or kind in s.job.part_named[p.part].allow for p in bp.pieces if p.blank == blank.blank)
