"""Plan a job: wires the parts of the planner together; nothing else constructs them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import ceil

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.finish.assemble import board_plans
from yieldopt.planning.finish.stress import Strips
from yieldopt.planning.finish.strip_room import with_room
from yieldopt.planning.finish.tidy import tidied
from yieldopt.planning.layouts.columns import Column
from yieldopt.planning.layouts.layout import Layout
from yieldopt.planning.pricing.context import Context, prepare
from yieldopt.planning.pricing.sections import Shape
from yieldopt.planning.reasons.report import reported
from yieldopt.planning.result import Observer, Progress, Result
from yieldopt.planning.search.component import ComponentSearch, Stage
from yieldopt.planning.tuning import USUAL, Tuning
from yieldopt.planning.wood.stock import Stock
from yieldopt.records.sections import History, Moment
from yieldopt.sizes.glue_up import thickened
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import BoardPlan, Plan, Totals

# Threads where no executor is given: a program that calls this may have threads of its own, and must not be copied then.
WORKERS = 2
FULL = Shape(pair_reach=2.0)
QUICK = Shape(pair_reach=1.0, rip=False, any_length=False)

DOING = {
    Stage.FIRST_PLAN: "first plan",
    Stage.CHOOSING: "choosing",
    Stage.BOUND: "bound",
    Stage.DIVING: "diving",
    Stage.IMPROVING: "improving",
    Stage.PROVEN: "proven",
}


@dataclass
class _Run:
    """The state of one planning run: a search for each component, brought on in turn."""

    searches: Sequence[ComponentSearch]
    stocks: Sequence[Stock]
    deadline: Deadline
    observer: Observer | None
    until_gap: float
    # Steps still to go; None: until the time is up.
    steps: int | None = None
    history: list[Progress] = field(default_factory=list)
    # Makes the plan as it stands, for the observer.
    sketch: Callable[[], Plan] | None = None

    @property
    def bound(self) -> float | None:
        """Proven for the whole job, in money; None while a component has none."""
        bound = _total(s.bound for s in self.searches)
        wood = sum(float(s.wood) for s in self.stocks)
        return bound if bound is None or not wood else max(0.0, bound - wood)

    @property
    def cost(self) -> float | None:
        """Net cost of the best choice, in money; None while a part is missing."""
        cost = _total(s.cost for s in self.searches)
        return None if cost is None else cost - sum(float(self.stocks[k.stock].wood) for k in self.columns)

    @property
    def columns(self) -> list[Column]:
        """The best choice of every component."""
        return [k for s in self.searches if s.best is not None for k in s.best.columns]

    def work(self) -> str:
        """Bring the searches on until the gap is small enough or the time is up; says which."""
        while not self.done and self.steps != 0 and (not self.deadline.over or self._owing):
            s = min(self.searches, key=lambda s: s.turn, default=None)
            if s is None or s.stage is Stage.PROVEN:
                break
            s.step()
            self.steps = None if self.steps is None else self.steps - 1
            self.report(DOING[s.stage])
        if self.done:
            return "gap"
        if self.steps == 0:
            return "steps"
        if self.searches and all(s.stage is Stage.PROVEN and s.proven for s in self.searches):
            return "optimal"
        return "stopped" if self.deadline.stopped else "time"

    @property
    def _owing(self) -> bool:
        """True while a component has no first plan, which takes a moment: the time may be up once all is made ready."""
        return not self.deadline.stopped and any(s.best is None for s in self.searches)

    def report(self, doing: str) -> None:
        cost, missing = self.cost, sum(s.missing for s in self.searches)
        progress = Progress(self.deadline.elapsed, self.deadline.left, cost, self.bound, ceil(missing - 1e-3), doing)
        last = self.history[-1] if self.history else None
        if last is None or (last.cost, last.bound) != (cost, self.bound):
            self.history.append(progress)
        if self.observer is not None:
            self.observer(replace(progress, sketch=self.sketch))

    @property
    def done(self) -> bool:
        gap = self.history[-1].gap if self.history else None
        return gap is not None and gap <= self.until_gap


def _total(figures: Iterable[float | None]) -> float | None:
    """Their sum; None if any is unknown."""
    known = list(figures)
    return None if any(f is None for f in known) else sum(f for f in known if f is not None)


def plan_job(
    job: Job,
    *,
    seconds: float = 20.0,
    seed: int = 0,
    observer: Observer | None = None,
    deadline: Deadline | None = None,
    until_gap: float = 0.0,
    executor: Executor | None = None,
    stocks: Sequence[Stock] | None = None,
    still: Sequence[int] | None = None,
    after: float = 0.0,
    steps: int | None = None,
    tuning: Tuning = USUAL,
) -> Result:
    """Plan a job within `seconds`, or until the proven gap is at most `until_gap`.

    `stocks` and `still` plan from regions that earlier cuts left and for parts still wanted (see `prepare`); the plan
    then has an entry for each region used. The same job, seed and effort give the same search; only its end depends on
    the clock, or on `steps`: then the plan is the same however fast the machine is and whatever `executor` does the work.
    A given `deadline` (made when the command began) wins over `seconds`; calling its `stop()` ends the run with the best
    plan so far. The last of the time, a share of it (`tuning.ending.after`) and `after` seconds at most, goes into a last pass
    over the layouts (see `tidy`) and into reasons: boards not cut, parts that conflict, what one more board should be; what of
    that the time did not reach is named in the plan. With 0 the plan names the first thing in the way of a missing part, and
    no more.
    `tuning` is for benches that vary what was found by trial.
    """
    whole = deadline or Deadline(seconds)
    whole.by_steps = steps is not None
    deadline = whole.part(whole.left - min(after, tuning.ending.after * whole.left))
    own = ThreadPoolExecutor(WORKERS) if executor is None else None
    try:
        context = prepare(job, executor or own, FULL, QUICK, stocks, still, tuning)  # type: ignore[arg-type]
        searches = [ComponentSearch(c, seed, deadline) for c in context.components()]
        run = _Run(searches, context.stocks, deadline, observer, until_gap, steps)
        run.sketch = lambda: _plan(context, run, None)
        ended = run.work()
        rest = None if whole.stopped or not after else whole if whole.by_steps else whole.part(after)
        return Result(_plan(context, run, rest), tuple(run.history), ended)
    finally:
        if own is not None:
            own.shutdown(cancel_futures=True)


def _plan(c: Context, run: _Run, rest: Deadline | None) -> Plan:
    """`rest` is what is left of the time for the last pass and for reasons; None: neither is wanted."""
    seconds = run.deadline.elapsed
    # Where steps are counted, the last pass is no matter of the clock either.
    share = c.tuning.ending.tidying
    limit = rest.part(rest.left * share) if rest is not None else run.deadline if run.deadline.by_steps else Deadline(0.0)
    layouts: list[Layout] = []
    tests: Strips = {}
    for s in run.searches:
        if s.best is not None:
            tidy = s.best.columns if rest is None else tidied(s.context, s.best.columns, limit)
            # A strip's place is settled by the course of the work, not by the clock, where steps are counted.
            columns, strips = with_room(s.context, tidy, s.ranked, limit)
            layouts += [k.layout for k in columns]
            tests |= strips
    boards, missing = board_plans(c.job, c.rows, c.items, c.stocks, layouts, tests=tests)
    boards = thickened(c.job, boards)
    unplaced, why = reported(c, [(s.context, s.pool.all()) for s in run.searches], boards, missing, rest)
    return Plan(
        c.job.name,
        c.job.units,
        boards,
        unplaced,
        totals(c.job, boards, missing, run.bound if not missing else None, seconds),
        sections=(History(tuple(Moment(p.seconds, p.cost, p.bound) for p in run.history)), *why),
    )


def totals(job: Job, boards: Sequence[BoardPlan], missing: dict[str, int], bound: float | None, seconds: float) -> Totals:
    """Figures of a plan from its boards; see the file format for what each means."""
    net = sum((b.cost - b.credit for b in boards), Fraction(0))
    finished = sum(((p.qty - missing.get(p.name, 0)) * p.length * p.width * p.thickness for p in job.parts), Fraction(0))
    used = Fraction(0)
    for b in boards:
        board = job.board_named[b.board]
        used += (board.area - sum((o.length * o.width for o in b.offcuts if o.kept), Fraction(0))) * board.nominal
    cost = float(net)
    if bound is not None:
        bound = min(bound, cost)
    gap = (cost - bound) / cost if bound is not None and cost > 0 else (0.0 if bound is not None else None)
    return Totals(
        round(cost, 6),
        None if bound is None else round(bound, 6),
        gap,
        float(finished / used) if used else 0.0,
        len(boards),
        round(seconds, 3),
    )
