"""What a plan remembers of earlier surprises beside its pieces: wood measured thinner, and good wood of spoiled pieces.

Kept in `plan.json` under `thin` and `good`, so that the next surprise finds it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from yieldopt.records.sections import Good, Patch, Thin
from yieldopt.replanning.surprise import Surprise
from yieldopt.replanning.wood import inside, overlap
from yieldopt.wood.plan import Placed, Plan, Spoiled


@dataclass(frozen=True)
class Noted:
    """Both lists."""

    thin: tuple[Patch, ...] = ()
    good: tuple[Patch, ...] = ()

    def thickness(self, board: str, thing: Placed) -> Fraction | None:
        """Least thickness measured of wood that a rectangle lies on; None where none was measured again."""
        there = (t.thickness for t in self.thin if t.board == board and overlap(t, thing))
        return min((t for t in there if t is not None), default=None)

    def good_of(self, board: str, spoiled: Spoiled) -> Patch | None:
        """What of a spoiled piece is still good."""
        return next((g for g in self.good if g.board == board and inside(g, spoiled)), None)


NOTHING = Noted()


def noted(plan: Plan, surprise: Surprise) -> Noted:
    """What the plan remembers and what is told now."""
    thin, good = plan.section(Thin), plan.section(Good)
    return Noted(
        (*(thin.value if thin else ()), *surprise.thin), (*(good.value if good else ()), *surprise.good.values())
    )


def remembered(plan: Plan, notes: Noted) -> Plan:
    """The plan with what it has to remember; good wood only as long as it is still spent."""
    spent = {b.board: b.spoiled for b in plan.boards}
    thin = tuple(dict.fromkeys(notes.thin))
    good = tuple(g for g in dict.fromkeys(notes.good) if any(inside(g, s) for s in spent.get(g.board, ())))
    said = [*([Thin(thin)] if thin else []), *([Good(good)] if good else [])]
    return plan.silent_on(Thin, Good).saying(*said)
