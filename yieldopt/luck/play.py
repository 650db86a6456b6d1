"""One draw played out: board after board is cut, flaws come up, pieces are spoiled, and the rest is planned again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.names import part_of, whole_of
from yieldopt.luck.at_the_saw import cut_board, expected_loss
from yieldopt.luck.rates import Rates
from yieldopt.luck.strokes import hidden_flaws
from yieldopt.planning.result import Progress
from yieldopt.replanning.bench import Bench, Benches
from yieldopt.replanning.candidate import WholePlan, way_on, whole_parts
from yieldopt.replanning.lost import Standing, round_about, standing, with_whole_groups
from yieldopt.replanning.noted import NOTHING, Noted
from yieldopt.replanning.state import changed_job
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Board, Defect, Job
from yieldopt.wood.plan import Plan
from yieldopt.workers.serial import Serial

# "planned": boards in the order of the plan; "risky first": by the pieces each may be expected to lose.
Order = Literal["planned", "risky first"]
# Steps of the search for each way on, tried where the one before leaves parts without a place: what is lost alone, then the
# boards round about laid out anew. Counted in steps, so that a draw ends the same way on a busy machine. Laying out all that
# is left takes longer than a draw may.
STEPS_ALONE, STEPS_AROUND = 12, 20
# Far above what any of these takes.
MOST_SECONDS = 60.0
# Boards cut, again after each new place on them; far above what any job needs.
MOST_STEPS = 400


@dataclass(frozen=True)
class Game:
    """Where a draw stands: what is known of the boards by now, the plan with its marks, how often each board was cut."""

    job: Job
    plan: Plan
    attempts: Mapping[str, int] = field(default_factory=dict)
    # Pieces lost so far by part, and how often was planned again.
    lost: Counter[str] = field(default_factory=Counter)
    replans: int = 0
    # Pieces that are lost now and have no place yet.
    gone: frozenset[str] = frozenset()
    # Boards that are taken only where nothing else helps.
    reserve: frozenset[str] = frozenset()

    def with_reserve(self, boards: tuple[Board, ...]) -> Game:
        """The same with more boards at hand."""
        names = frozenset(b.name for b in boards)
        job = replace(self.job, boards=self.job.boards + boards, leave=self.job.leave | names)
        return replace(self, job=job, reserve=self.reserve | names)


@dataclass(frozen=True)
class Outcome:
    """How one draw ended."""

    number: int
    finished: bool
    # Parts that have no place in the end, and all pieces lost on the way, by part.
    missing: Counter[str]
    lost: Counter[str]
    # What the plan had cost at the end, in the job's money.
    cost: float
    replans: int
    # Boards of the reserve that were cut.
    reserve_cut: frozenset[str] = frozenset()
    # Where the draw stood when no way on was found.
    stuck: Game | None = field(default=None, compare=False)


@dataclass(frozen=True)
class Rules:
    """What is the same in all draws of a study; `need` says how many of each part finish the job."""

    need: Mapping[str, int]
    order: Order
    rates: Rates
    notes: Noted = NOTHING
    # What comes to light in each board, where that is settled; None: drawn by the rates.
    flaws: Mapping[str, Sequence[Defect]] | None = None
    known: Benches = field(default_factory=Benches)
    deadline: Deadline | None = None


def play(game: Game, rules: Rules, seed: str, number: int) -> Outcome:
    """Cut all that is left of the plan under the luck of one draw."""
    draw = f"{seed}/{number}"
    known = rules.known.apart()
    job, plan, attempts, lost, replans = game.job, game.plan, Counter(game.attempts), Counter(game.lost), game.replans
    gone = game.gone
    for _ in range(MOST_STEPS):
        if gone:
            # Its place is gone with it, so nobody would insist on the pin.
            no_more = {whole_of(n) for n in gone}
            job = replace(job, pins=tuple(q for q in job.pins if whole_of(q.piece) not in no_more))
            before = Game(job, plan, attempts, lost, replans, gone, game.reserve)
            if _short(job, _without(plan, gone), rules.need):
                replans += 1
                plan = _on(before, rules, known)
            else:
                plan = way_on(standing(job, plan, rules.notes, known), gone, True, 0.0, 0).plan
            missing = _short(job, plan, rules.need)
            if missing:
                return Outcome(number, False, missing, lost, plan.totals.net_cost, replans, stuck=before)
        bench = _next(job, plan, rules, known)
        if bench is None:
            break
        name = bench.board.name
        attempts[name] += 1
        luck = hidden_flaws(bench.board, rules.rates, draw) if rules.flaws is None else rules.flaws.get(name, ())
        found = [d for d in luck if d not in bench.board.defects]
        made = cut_board(job, plan, bench, found, draw, attempts[name], rules.rates, rules.notes, known)
        job = changed_job(job, Surprise(found={name: tuple(found)})) if found else job
        plan = replace(plan, boards=tuple(made.entry if b.board == name else b for b in plan.boards))
        gone = made.gone | made.spoiled
        lost.update(part_of(n) for n in gone)
    missing = _short(job, plan, rules.need)
    cut = game.reserve & {b.board for b in plan.boards}
    return Outcome(number, not missing, missing, lost, plan.totals.net_cost, replans, cut)


def _next(job: Job, plan: Plan, rules: Rules, known: Benches) -> Bench | None:
    """The board to cut now; None where all pieces are made."""
    left = (known.of(job.board_named[b.board], b) for b in plan.boards if any(p.state != "done" for p in b.pieces))
    if rules.order == "planned":
        return next(left, None)
    return max(left, key=lambda bench: expected_loss(job, bench, rules.rates), default=None)


def _without(plan: Plan, gone: frozenset[str]) -> Plan:
    """The plan without the pieces that are lost, for counting."""
    return replace(plan, boards=tuple(replace(b, pieces=tuple(p for p in b.pieces if p.piece not in gone)) for b in plan.boards))


def _short(job: Job, plan: Plan, need: Mapping[str, int]) -> Counter[str]:
    """How many of each part are lacking."""
    whole = whole_parts(job, plan.boards)
    return Counter({n: qty - len(whole.get(n, ())) for n, qty in need.items() if len(whole.get(n, ())) < qty})


class _Enough:
    """Ends a search once no more lack a place than the job is whole without, after so many steps, or when time is up."""

    def __init__(self, steps: int, lacking: int, deadline: Deadline | None) -> None:
        self.left, self.lacking, self.deadline = steps, lacking, deadline

    def __call__(self, p: Progress) -> bool:
        self.left -= 1
        return p.missing <= self.lacking or self.left <= 0 or (self.deadline is not None and self.deadline.over)


def _on(game: Game, rules: Rules, known: Benches) -> Plan:
    """The first way on that lacks nothing, else the one that lacks least. The reserve is left alone while it can be."""
    best: Plan | None = None
    least = 0
    for reserve in (False, True) if game.reserve else (False,):
        job = replace(game.job, leave=game.job.leave - game.reserve) if reserve else game.job
        s = standing(job, game.plan, rules.notes, known)
        for way in _ways(s, game.gone, rules):
            lacking = sum(_short(job, way.plan, rules.need).values())
            if best is None or lacking < least:
                best, least = way.plan, lacking
            if not lacking:
                return best
    assert best is not None
    return best


def _ways(s: Standing, gone: frozenset[str], rules: Rules) -> Iterator[WholePlan]:
    """What is lost alone; a colour group whole, where its board has no wood for the rest; the boards round about too."""

    def way(again: frozenset[str], around: bool) -> WholePlan:
        without = sum(p.qty - rules.need.get(p.name, 0) for p in s.job.parts)
        enough = _Enough(STEPS_AROUND if around else STEPS_ALONE, without, rules.deadline)
        return way_on(s, again, not around, MOST_SECONDS, 0, until=enough, executor=Serial())

    first = way(gone, False)
    yield first
    whole = with_whole_groups(s, gone, _short(s.job, first.plan, rules.need))
    if whole != gone:
        yield way(whole, False)
    yield way(round_about(s, whole), True)
