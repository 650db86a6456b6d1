"""The reasons that go into a plan once its search has ended: of parts without a place, boards not cut, tight pieces."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import inf

from yieldopt.ground.deadline import Deadline
from yieldopt.insight.slack import PieceSlack, slacks, tightest
from yieldopt.planning.layouts.columns import Column
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.reasons.missing import Reasons as Missing
from yieldopt.planning.reasons.onemore import OneMore as Found
from yieldopt.planning.reasons.onemore import one_more
from yieldopt.planning.reasons.unused import NOT_LOOKED_AT, why_unused
from yieldopt.records.sections import BoardWanted, NotReached, OneMore, Reasons, Size, Tight, Tightest
from yieldopt.records.why import BOARDS, MORE, PARTS
from yieldopt.wood.plan import BoardPlan, Plan, Section, Totals, Unplaced

# Tightest pieces that the file names.
MOST_TIGHT = 12


def reported(
    c: Context,
    components: Iterable[tuple[Context, Iterable[Column]]],
    boards: Sequence[BoardPlan],
    missing: Mapping[str, int],
    deadline: Deadline | None,
) -> tuple[tuple[Unplaced, ...], tuple[Section, ...]]:
    """Parts without a place with their reasons, and what `plan.json` says besides, until the deadline; with none only the
    parts. `components` are those of the job with the layouts known of each."""
    components = [(part, list(columns)) for part, columns in components]
    if deadline is None:
        conflicts, looking = Deadline(0.0), Deadline(inf)
    else:
        conflicts, looking = deadline.part(deadline.left * c.tuning.ending.conflicts), deadline
    reasons = Missing(c, components, missing, conflicts, looking)
    unplaced = tuple(Unplaced(name, qty, reasons.why(name)) for name, qty in missing.items())
    if deadline is None:
        return unplaced, ()
    skipped = [PARTS] if reasons.cut_short else []
    unused = why_unused(c, components, frozenset(b.board for b in boards), frozenset(missing), deadline)
    said: list[Section] = [Tightest(tuple(_tight(p) for p in tightest(_slacks(c, boards), MOST_TIGHT))), Reasons(unused)]
    skipped += [BOARDS] if NOT_LOOKED_AT in unused.values() else []
    if missing:
        found = one_more(c.job, missing, deadline, c.tuning)
        said.append(OneMore(tuple(_one_more(m) for m in found)))
        skipped += [MORE] if not all(m.settled for m in found) else []
    return unplaced, (*said, *((NotReached(tuple(skipped)),) if skipped else ()))


def _slacks(c: Context, boards: Sequence[BoardPlan]) -> Sequence[PieceSlack]:
    plan = Plan(c.job.name, c.job.units, tuple(boards), (), Totals(0.0, None, None, 0.0, len(boards), 0.0))
    return slacks(c.job, plan)[1]


def _tight(p: PieceSlack) -> Tight:
    return Tight(p.piece, p.board, p.thickness, p.all_width, p.all_length)


def _one_more(m: Found) -> BoardWanted:
    return BoardWanted(
        m.species,
        m.quarters,
        m.thickness,
        m.sawn,
        dict(m.parts),
        tuple(Size(length, width) for length, width in m.sizes),
        Size(*m.least),
        round(float(m.area) / 144, 2),
        m.named,
        m.settled,
    )
