"""One draw played out: board after board is cut, flaws come up, pieces are spoiled, and the rest is planned again."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from yieldopt.fragility.luck import hidden_flaws, unlucky
from yieldopt.fragility.rates import Rates
from yieldopt.lumber import Job
from yieldopt.plan import BoardPlan, Plan
from yieldopt.planning.names import part_of, whole_of
from yieldopt.replanning.candidate import Way, way_on, whole_parts
from yieldopt.replanning.lost import Standing, hit, lost, round_about, standing
from yieldopt.replanning.noted import NOTHING, Noted
from yieldopt.replanning.state import changed_job, marked
from yieldopt.replanning.surprise import Surprise
from yieldopt.slack import AT_RISK, blank_slack

# "planned": boards in the order of the plan; "risky first": by the pieces each may be expected to lose.
Order = Literal["planned", "risky first"]
# Seconds for each way on, tried where the one before leaves parts without a place: what is lost, the same with more time, the
# boards round about. Laying out all that is left takes longer than a draw may.
EFFORT = (0.2, 1.0, 1.5)
# The same in multiples of what it takes to begin: large jobs and busy machines need longer.
BEGINNINGS = (2.0, 6.0, 9.0)
# Boards cut, again after each new place on them; far above what any job needs.
MOST_STEPS = 400


@dataclass(frozen=True)
class Outcome:
    """How one draw ended."""

    finished: bool
    # Parts that have no place in the end, and all pieces lost on the way, by part.
    missing: Counter[str]
    lost: Counter[str]
    # What the plan had cost at the end, in the job's money.
    cost: float
    replans: int


def play(
    job: Job,
    plan: Plan,
    need: Mapping[str, int],
    order: Order,
    rates: Rates,
    draw: str,
    notes: Noted = NOTHING,
    effort: Sequence[float] = EFFORT,
) -> Outcome:
    """Cut all of the plan under the luck of one draw; `need` says how many of each part finish the job, `effort` the seconds
    for each way on."""
    attempts: Counter[str] = Counter()
    gone_parts: Counter[str] = Counter()
    replans = 0
    for _ in range(MOST_STEPS):
        entry = _next(job, plan, order, rates)
        if entry is None:
            break
        attempts[entry.board] += 1
        job = changed_job(job, Surprise(found={entry.board: hidden_flaws(job.board_named[entry.board], rates, draw)}))
        now, gone, spoiled = _cut(job, plan, entry, rates, draw, attempts[entry.board], notes)
        plan = replace(plan, boards=tuple(now if b.board == entry.board else b for b in plan.boards))
        if not gone and not spoiled:
            continue
        gone_parts.update(part_of(n) for n in gone | spoiled)
        # Its place is gone with it, so nobody would insist on the pin.
        job = replace(job, pins=tuple(q for q in job.pins if whole_of(q.piece) not in {whole_of(n) for n in gone | spoiled}))
        s = standing(job, plan, notes)
        if _short(job, _left(plan, gone), need):
            replans += 1
            plan = _on(s, gone, need, effort).plan
        else:
            plan = way_on(s, gone, True, 0.0, 0).plan
        missing = _short(job, plan, need)
        if missing:
            return Outcome(False, missing, gone_parts, plan.totals.net_cost, replans)
    missing = _short(job, plan, need)
    return Outcome(not missing, missing, gone_parts, plan.totals.net_cost, replans)


def effort_for(job: Job, plan: Plan) -> tuple[float, ...]:
    """Seconds for each way on in this job, on this machine as busy as it is."""
    first = next((p.piece for _, p in plan.pieces() if p.state != "done"), None)
    if first is None:
        return EFFORT
    s = standing(job, plan)
    began = time.monotonic()
    way_on(s, frozenset({first}), True, 0.001, 0)
    took = time.monotonic() - began
    return tuple(max(least, n * took) for least, n in zip(EFFORT, BEGINNINGS, strict=True))


def _next(job: Job, plan: Plan, order: Order, rates: Rates) -> BoardPlan | None:
    """The board to cut now; None where all pieces are made."""
    left = [b for b in plan.boards if any(p.state != "done" for p in b.pieces)]
    if not left or order == "planned":
        return left[0] if left else None
    return max(left, key=lambda b: expected_loss(job, b, rates))


def expected_loss(job: Job, entry: BoardPlan, rates: Rates) -> float:
    """Pieces of a board that may be expected to be lost."""
    board = job.board_named[entry.board]
    flaws = rates.flaws(board) / 144
    chances = _spoil_chances(job, entry, rates)
    return sum(
        flaws * float(p.length * p.width) + chances[p.piece] for p in entry.pieces if p.state != "done" and p.piece in chances
    )


def _spoil_chances(job: Job, entry: BoardPlan, rates: Rates) -> dict[str, float]:
    board = job.board_named[entry.board]
    blanks = {b.blank: b for b in entry.blanks}
    thin = {n: blank_slack(board, b, job).spare < AT_RISK for n, b in blanks.items()}
    return {
        p.piece: rates.spoils(board.species, p.layers > 1 and board.stress != "tested", thin[p.blank])
        for p in entry.pieces
        if p.blank in blanks
    }


def _cut(
    job: Job, plan: Plan, entry: BoardPlan, rates: Rates, draw: str, attempt: int, notes: Noted
) -> tuple[BoardPlan, frozenset[str], frozenset[str]]:
    """The board is cut: its entry with what is done, the pieces to be made anew, those spoiled by hand.

    Sets that stand and fall together lie on one board, so nothing but this board has to be looked at.
    """
    alone = replace(plan, boards=(entry,))
    chances = _spoil_chances(job, entry, rates)
    open_ones = [p.piece for p in entry.pieces if p.state != "done"]
    spoiled = frozenset(n for n in open_ones if unlucky(f"{draw}/{entry.board}", n, attempt, chances.get(n, 0.0)))
    through = {entry.board: max((c.order for c in entry.cuts if c.stage == "rough"), default=0)}
    first = standing(job, marked(job, alone, Surprise(cut_through=through, spoiled=spoiled)), notes)
    # The board goes over the machines as a whole: what lies in one blank with a piece that is hit is made all the same.
    fine = frozenset(open_ones) - spoiled - frozenset(hit(first))
    s = standing(job, marked(job, first.plan, Surprise(done=fine)), notes)
    return s.plan.boards[0], lost(s)[0], spoiled


def _left(plan: Plan, gone: frozenset[str]) -> Plan:
    """The plan without the pieces that are lost, for counting."""
    return replace(plan, boards=tuple(replace(b, pieces=tuple(p for p in b.pieces if p.piece not in gone)) for b in plan.boards))


def _short(job: Job, plan: Plan, need: Mapping[str, int]) -> Counter[str]:
    """How many of each part are lacking."""
    whole = whole_parts(job, plan.boards)
    return Counter({n: qty - len(whole.get(n, ())) for n, qty in need.items() if len(whole.get(n, ())) < qty})


def _on(s: Standing, gone: frozenset[str], need: Mapping[str, int], effort: Sequence[float]) -> Way:
    """The first way on that lacks nothing, else the one that lacks least."""
    best: Way | None = None
    least = 0
    for k, seconds in enumerate(effort):
        around = k == len(effort) - 1
        way = way_on(s, round_about(s, gone) if around else gone, not around, seconds, 0)
        lacking = sum(_short(s.job, way.plan, need).values())
        if best is None or lacking < least:
            best, least = way, lacking
        if not lacking:
            break
    assert best is not None
    return best
