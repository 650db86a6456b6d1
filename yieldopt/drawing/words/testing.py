"""The wood that a plan keeps for a stress test, in words: where the strip is cut off, how it is read, or why there is none."""

from __future__ import annotations

from yieldopt.drawing.setting import Setting
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import BoardPlan

# The prongs are read at once and after some hours, once the moisture in them has evened out, and say nothing about stress along
# the board: https://www.woodworkingnetwork.com/magazine/fdmc-magazine/prong-test-basics.
READ = (
    "Saw out the middle of it so that two prongs are left, and read them at once and again after some hours; the milling order "
    "says how. Prongs that close or spread: don't resaw this board. The strip can't show stress along the board"
)


def strip_words(bp: BoardPlan, s: Setting) -> str:
    """Where the strip lies and which cuts take it off, or why there is none; for lists."""
    strip = bp.stress_strip
    if strip is None:
        return f"none kept: {bp.no_stress_strip}" if bp.no_stress_strip else "none kept"
    numbers = " and ".join(str(c.order) for c in strip.cuts(bp.cuts))
    return f"cuts {numbers}: {s.main(strip.x)} to {s.main(strip.x + strip.length)} from the datum end"


def test_lines(board: Board, bp: BoardPlan, s: Setting) -> list[str]:
    """What the sheet of a board that is resawn says of its test; nothing where its stress was tested."""
    if board.stress != "unknown" or not any(b.layers > 1 for b in bp.blanks):
        return []
    strip = bp.stress_strip
    if strip is None:
        if not s.job.shop.allowances.stress_strip:
            return []
        why = bp.no_stress_strip or "the plan lists none"
        return [
            f"NO WOOD KEPT FOR A STRESS TEST on {board.name}: {why}. Test a slice of another board from the same lot before you "
            "resaw this one."
        ]
    numbers = " and ".join(str(c.order) for c in strip.cuts(bp.cuts))
    return [
        f"STRESS TEST BEFORE ANYTHING ELSE: cuts {numbers} take a strip {s.main(strip.length)} long right across {board.name}, "
        f"from {s.main(strip.x)} to {s.main(strip.x + strip.length)}. {READ}."
    ]
