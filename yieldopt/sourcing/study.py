"""The whole study of a job: shortage, ways, break-even, purchase, grades, wide parts. Each step takes what it needs and returns
what it found; the rooms reckon, and here is decided what comes when, and how long it may take."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import TypeVar

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import UsageError
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.choice.choosing import Chosen, choose
from yieldopt.sourcing.choice.offered import Offered, priced
from yieldopt.sourcing.market.lines import Market
from yieldopt.sourcing.purchase.bought import Purchases, confirmed, purchases
from yieldopt.sourcing.studied import Picked, Study
from yieldopt.sourcing.ways.buying import plan_rack
from yieldopt.sourcing.ways.grading import GradeRow, Group, groups, planned_rows, quick_rows
from yieldopt.sourcing.ways.outcome import Outcome
from yieldopt.sourcing.ways.plans import plan_ways
from yieldopt.sourcing.ways.question import THICK_NAME, OnRack, Question, question
from yieldopt.sourcing.ways.quick_ways import if_all_tested, mean_cost, quick_ways
from yieldopt.sourcing.ways.wide import Case, Wide, planned_wide, wide_cases, wide_parts
from yieldopt.wood.lumber import Job
from yieldopt.workers.runner import Runner

T = TypeVar("T")
Say = Callable[[str], None]
# Shares of the time: the rack's own plan; then, each of what is left: the choice among logged boards, the ways, the purchase,
# the grades.
CHOICE = 0.6
RACK, WAYS, PURCHASE, GRADES = 0.3, 0.22, 0.7, 0.6


def study(job: Job, asked: Asked, say: Say, deadline: Deadline | None = None, executor: Executor | None = None) -> Study:
    """Carry the study out within about `asked.seconds`; stopping `deadline` ends it with what has been found.

    Plans run on `executor`, by default a pool of processes. Raises `UsageError` where there is no price sheet.
    """
    from yieldopt.planning.warming import warm

    if not job.prices:
        raise UsageError("prices.csv: nothing to buy from; the job folder needs a dealer's price sheet")
    if not asked.rack:
        job = replace(job, boards=(), leave=frozenset(), pins=(), parts=tuple(replace(p, sources=()) for p in job.parts))
    offered = priced(asked.offered, job.prices)
    deadline = deadline or Deadline(asked.seconds)
    with Runner(executor, plans=asked.steps, ready=warm) as runner:
        runner.start()
        on_rack = shortage(job, asked, deadline, say)
        market = Market(job.prices, job.shop, asked.seed, asked.hidden, asked.stress, asked.own)
        say("comparing the price lines ...")
        found = _Steps(question(job, market, on_rack), asked, market, runner, deadline, say, offered).taken()
    return replace(found, stopped=deadline.stopped, seconds=deadline.elapsed)


def shortage(job: Job, asked: Asked, deadline: Deadline, say: Say) -> OnRack:
    """What the rack alone gives."""
    if not any(b.name not in job.leave for b in job.boards):
        return OnRack(None, {p.name: p.qty for p in job.parts})
    plan = asked.plan
    if plan is None:
        say("planning on the rack alone ...")
        plan = plan_rack(job, RACK * asked.seconds, asked.seed, deadline, asked.each_steps)
    return OnRack(plan, {u.part: u.qty for u in plan.unplaced})


@dataclass(frozen=True)
class _Steps:
    """The study from the question on: first every part of it by quick layouts, then again by plans as far as the time goes."""

    question: Question
    asked: Asked
    market: Market
    runner: Runner
    deadline: Deadline
    say: Say
    # The dealer's logged boards.
    offered: Sequence[Offered]

    def taken(self) -> Study:
        tested = if_all_tested(self.question, self.market)
        quick = self._quick()
        picked = self._reached(self._picked, Picked())
        bought = self._reached(lambda: self._purchases(quick), None)
        some: Sequence[Group] = ()
        grades: Sequence[GradeRow] = ()
        cases: Sequence[tuple[Case | None, Wide]] = ()
        some, grades = self._reached(self._grades, (some, grades))
        cases = self._reached(self._wide, cases)
        planned: Mapping[tuple[int, int], Outcome] = self._reached(self._planned_ways, {})
        bought = self._reached(lambda: self._confirmed(bought), bought)
        grades = self._reached(lambda: self._planned_grades(some, grades), grades)
        rows: Sequence[Wide] = tuple(row for _, row in cases)
        wide = self._reached(lambda: self._planned_wide(cases, rows), rows)
        return Study(self.asked, self.question, quick, planned, tested, picked, bought, grades, wide)

    def _reached(self, step: Callable[[], T], otherwise: T) -> T:
        """What the step finds; `otherwise` where the study was stopped before it."""
        return otherwise if self.deadline.stopped else step()

    def _quick(self) -> list[list[Outcome]]:
        self.say("costing the options by quick layouts ...")
        return quick_ways(self.question, self.market, self.asked.draws, self.runner, self.deadline)

    def _picked(self) -> Picked:
        offered = self.offered
        if not offered:
            return Picked()
        self.say(f"choosing among {len(offered)} logged boards ...")
        step = self.deadline.part(CHOICE * self.deadline.left)
        either = {}
        for name in self.asked.either:
            others = set(self.asked.either) - {name}
            some = [o for o in offered if o.board.name not in others]
            either[name] = self._chosen(some, step.part(step.left / (len(self.asked.either) + 1)), second=False)
        return Picked(self._chosen(offered, step), either)

    def _chosen(self, offered: Sequence[Offered], step: Deadline, second: bool = True) -> Chosen:
        q, a = self.question, self.asked
        return choose(q.job, offered, self.runner, step, a.seed, self.say, q.on_rack.plan, a.each_steps, second)

    def _purchases(self, quick: Sequence[Sequence[Outcome]]) -> Purchases:
        q = self.question
        # By the cheaper of the two ways; without draws by thin stock.
        thick = next((w for w, way in enumerate(q.ways) if way.name == THICK_NAME), None)
        lines = q.ways[thick].line_of if thick is not None and mean_cost(quick[thick]) < mean_cost(quick[0]) else q.thin
        return purchases(q, lines, self.market, self.asked, self.runner, self.deadline, self.say)

    def _grades(self) -> tuple[Sequence[Group], Sequence[GradeRow]]:
        """Grades by quick layouts, with what there is to plan."""
        self.say("comparing the grades ...")
        q = self.question
        some = groups(self.market, [p for p in q.job.parts if p.name not in q.not_offered])
        return some, quick_rows(self.market, some, self.runner, self.deadline.part(max(3.0, 0.2 * self.deadline.left)))

    def _wide(self) -> Sequence[tuple[Case | None, Wide]]:
        """Wide parts by quick layouts, with what there is to plan."""
        job = self.question.job
        if not wide_parts(job):
            return ()
        self.say("costing wide parts ...")
        return wide_cases(job, self.market, self.runner, self.deadline.part(max(3.0, 0.2 * self.deadline.left)))

    def _planned_ways(self) -> Mapping[tuple[int, int], Outcome]:
        step = self.deadline.part(WAYS * self.deadline.left)
        return plan_ways(self.question, self.asked, self.market, self.runner, step, self._each(60.0), self.say)

    def _confirmed(self, bought: Purchases | None) -> Purchases | None:
        if bought is None:
            return None
        step = self.deadline.part(PURCHASE * self.deadline.left)
        missing = bool(self.question.on_rack.missing)
        return confirmed(bought, missing, self.asked, self.runner, step, self._each(30.0), self.say)

    def _planned_grades(self, some: Sequence[Group], grades: Sequence[GradeRow]) -> Sequence[GradeRow]:
        self.say("planning the grades ...")
        step, a = self.deadline.part(GRADES * self.deadline.left), self.asked
        job, each = self.question.job, self._each(6.0)
        rows = planned_rows(job, self.market, some, list(grades), self.runner, step, each, a.seed, a.each_steps)
        return _last(rows, grades)

    def _planned_wide(self, cases: Sequence[tuple[Case | None, Wide]], wide: Sequence[Wide]) -> Sequence[Wide]:
        self.say("planning wide parts ...")
        a, each = self.asked, self._each(6.0)
        rows = planned_wide(self.question.job, cases, self.runner, self.deadline, each, a.seed, a.each_steps)
        return _last(rows, wide)

    def _each(self, most: float) -> float:
        """Seconds for one plan of a step: more where there is more time."""
        return max(2.0, min(most, self.asked.seconds / 15))


def _last(rows: Iterable[Sequence[T]], otherwise: Sequence[T]) -> Sequence[T]:
    """What a step that tells after every plan had at its end."""
    last = otherwise
    for row in rows:
        last = row
    return last
