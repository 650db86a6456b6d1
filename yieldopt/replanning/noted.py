"""What a plan remembers of earlier surprises beside its pieces: wood measured thinner, and good wood of spoiled pieces.

Kept in `plan.json` under `thin` and `good`, in the job's units, so that the next surprise finds it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from yieldopt.lengths import Units, from_number, to_number
from yieldopt.plan import Placed, Plan, Spoiled
from yieldopt.replanning.surprise import Patch, Surprise
from yieldopt.replanning.wood import inside, overlap

_SIZES = ("x", "y", "length", "width", "thickness")


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
    """What the plan remembers and what is told now; an entry that can't be read is left out."""
    extra = plan.extra or {}
    return Noted(
        (*_read(extra.get("thin"), plan.units), *surprise.thin), (*_read(extra.get("good"), plan.units), *surprise.good.values())
    )


def remembered(plan: Plan, notes: Noted) -> Plan:
    """The plan with what it has to remember; good wood only as long as it is still spent."""
    extra = dict(plan.extra or {})
    spent = {b.board: b.spoiled for b in plan.boards}
    good = [g for g in dict.fromkeys(notes.good) if any(inside(g, s) for s in spent.get(g.board, ()))]
    for key, patches in (("thin", list(dict.fromkeys(notes.thin))), ("good", good)):
        extra.pop(key, None)
        if patches:
            extra[key] = [_dump(p, plan.units) for p in patches]
    return replace(plan, extra=extra or None)


def _dump(p: Patch, units: Units) -> dict[str, Any]:
    sizes = {k: v for k in _SIZES if (v := getattr(p, k)) is not None}
    return {"board": p.board, **{k: to_number(v, units) for k, v in sizes.items()}}


def _read(entries: Any, units: Units) -> Iterable[Patch]:
    for entry in entries if isinstance(entries, list) else ():
        try:
            yield _patch(entry, units)
        except (KeyError, TypeError, ValueError, AttributeError):
            continue


def _patch(entry: Mapping[str, Any], units: Units) -> Patch:
    return Patch(str(entry["board"]), **{k: from_number(entry[k], units) for k in _SIZES if k in entry})
