"""The reasons that go into a plan once its search has ended: of parts without a place, boards not cut, tight pieces."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import inf
from typing import Any

from yieldopt.deadline import Deadline
from yieldopt.insight.slack import PieceSlack, slacks, tightest
from yieldopt.lengths import to_number
from yieldopt.plan import BoardPlan, Plan, Totals, Unplaced
from yieldopt.planning.layouts.columns import Column
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.reasons.missing import Reasons
from yieldopt.planning.reasons.onemore import OneMore, one_more
from yieldopt.planning.reasons.unused import NOT_LOOKED_AT, why_unused
from yieldopt.why import BOARDS, MORE, NOT_REACHED, ONE_MORE, PARTS, REASONS, TIGHTEST

# Tightest pieces that the file names.
MOST_TIGHT = 12
# Share of the time that goes into parts that conflict; the rest into the size of one more board.
FOR_CONFLICTS = 0.6


def reported(
    c: Context,
    components: Iterable[tuple[Context, Iterable[Column]]],
    boards: Sequence[BoardPlan],
    missing: Mapping[str, int],
    deadline: Deadline | None,
) -> tuple[tuple[Unplaced, ...], dict[str, Any]]:
    """Parts without a place with their reasons, and what `plan.json` says besides, until the deadline; with none only the
    parts. `components` are those of the job with the layouts known of each."""
    components = [(part, list(columns)) for part, columns in components]
    if deadline is None:
        conflicts, looking = Deadline(0.0), Deadline(inf)
    else:
        conflicts, looking = deadline.part(deadline.left * FOR_CONFLICTS), deadline
    reasons = Reasons(c, components, missing, conflicts, looking)
    unplaced = tuple(Unplaced(name, qty, reasons.why(name)) for name, qty in missing.items())
    if deadline is None:
        return unplaced, {}
    skipped = [PARTS] if reasons.cut_short else []
    why: dict[str, Any] = {TIGHTEST: [_tight(p, c) for p in tightest(_slacks(c, boards), MOST_TIGHT)]}
    why[REASONS] = why_unused(c, components, frozenset(b.board for b in boards), frozenset(missing), deadline)
    skipped += [BOARDS] if NOT_LOOKED_AT in why[REASONS].values() else []
    if missing:
        found = one_more(c.job, missing, deadline)
        why[ONE_MORE] = [_one_more(m, c) for m in found]
        skipped += [MORE] if not all(m.settled for m in found) else []
    return unplaced, why | ({NOT_REACHED: skipped} if skipped else {})


def _slacks(c: Context, boards: Sequence[BoardPlan]) -> Sequence[PieceSlack]:
    plan = Plan(c.job.name, c.job.units, tuple(boards), (), Totals(0.0, None, None, 0.0, len(boards), 0.0))
    return slacks(c.job, plan)[1]


def _tight(p: PieceSlack, c: Context) -> dict[str, Any]:
    spare = {"thickness": p.thickness, "width": p.all_width, "length": p.all_length}
    return {"piece": p.piece, "board": p.board, **{k: to_number(v, c.job.units) for k, v in spare.items()}}


def _one_more(m: OneMore, c: Context) -> dict[str, Any]:
    u = c.job.units
    return {
        "species": m.species,
        "quarters": m.quarters,
        "thickness": to_number(m.thickness, u),
        "sawn": m.sawn,
        "parts": dict(m.parts),
        "sizes": [{"length": to_number(length, u), "width": to_number(width, u)} for length, width in m.sizes],
        "least": {"length": to_number(m.least[0], u), "width": to_number(m.least[1], u)},
        "square_feet": round(float(m.area) / 144, 2),
        "named": m.named,
        "settled": m.settled,
    }
