"""Plan a job: wires the parts of the planner together; nothing else constructs them."""

from __future__ import annotations

import random
from collections.abc import Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, field
from fractions import Fraction
from math import inf

from yieldopt.deadline import Deadline
from yieldopt.lumber import Job
from yieldopt.plan import BoardPlan, Plan, Totals, Unplaced
from yieldopt.planning.assemble import board_plans
from yieldopt.planning.branch import Branching
from yieldopt.planning.columns import Pool
from yieldopt.planning.complete import complete
from yieldopt.planning.context import Context, prepare
from yieldopt.planning.dive import dive
from yieldopt.planning.first import first_columns
from yieldopt.planning.generate import Counting, generate, prove
from yieldopt.planning.master import Master
from yieldopt.planning.neighbourhood import FEW_STOCKS, Neighbourhoods
from yieldopt.planning.reasons import why_unplaced
from yieldopt.planning.restrict import Choice, choose, evaluate
from yieldopt.planning.result import Observer, Progress, Result
from yieldopt.planning.sections import Shape
from yieldopt.planning.stock import Stock

# Compiled pricing lets go of the interpreter's lock, so threads use the cores without copying arrays between processes.
WORKERS = 2
FULL = Shape(pair_reach=2.0)
QUICK = Shape(pair_reach=1.0, rip=False)
# Quick pricing first, with a whole choice made after so many rounds, so many times.
QUICK_TURNS, QUICK_ROUNDS = 6, 15
# Neighbourhoods tried for each node branched on, and after how many the whole choice is made again.
HOODS_A_NODE = 3
WHOLE_EVERY = 15
# Where boards are few, most combinations of counted copies in a board's pricing; each costs as much again as plain pricing.
MOST_BUDGETS = 12


@dataclass
class _Run:
    """The state of one planning run."""

    context: Context
    deadline: Deadline
    observer: Observer | None
    until_gap: float
    best: Choice | None = None
    bound: float | None = None
    history: list[Progress] = field(default_factory=list)

    def report(self, doing: str) -> None:
        cost = self.best.cost if self.best is not None and not self.best.missing else None
        missing = 0
        if self.best is not None:
            missing = round(sum(m * float(self.context.rows[r].finished) for r, m in self.best.missing.items()) + 0.499)
        progress = Progress(self.deadline.elapsed, self.deadline.left, cost, self.bound, missing, doing)
        last = self.history[-1] if self.history else None
        if last is None or (last.cost, last.bound) != (cost, self.bound):
            self.history.append(progress)
        if self.observer is not None:
            self.observer(progress)

    def take(self, choice: Choice | None, doing: str) -> None:
        if choice is not None and (self.best is None or choice.value < self.best.value - 1e-9):
            self.best = choice
        self.report(doing)

    def raise_bound(self, bound: float, doing: str) -> None:
        if bound > -inf and (self.bound is None or bound > self.bound):
            self.bound = bound
        self.report(doing)

    @property
    def done(self) -> bool:
        gap = self.history[-1].gap if self.history else None
        return gap is not None and gap <= self.until_gap


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
) -> Result:
    """Plan a job within `seconds`, or until the proven gap is at most `until_gap`.

    `stocks` and `still` plan from regions that earlier cuts left and for parts still wanted (see `prepare`); the plan
    then has an entry for each region used. The same job, seed and effort give the same search; only its end depends on
    the clock. A given `deadline` (made when the command began) wins over `seconds`; calling its `stop()` ends the run
    with the best plan so far.
    """
    deadline = deadline or Deadline(seconds)
    own = ThreadPoolExecutor(WORKERS) if executor is None else None
    try:
        context = prepare(job, executor or own, FULL, QUICK, stocks, still)  # type: ignore[arg-type]
        run = _Run(context, deadline, observer, until_gap)
        ended = _search(run, seed)
        return Result(_plan(run), tuple(run.history), ended)
    finally:
        if own is not None:
            own.shutdown(cancel_futures=True)


def _search(run: _Run, seed: int) -> str:
    """Columns, a first choice, the bound; then neighbourhoods and branching in turn until the time is up."""
    c = run.context
    pool = Pool(len(c.stocks))
    first = first_columns(c)
    for column in first:
        pool.add(column)
    run.take(complete(c, evaluate(first, c.need, c.demand), pool, run.deadline), "first plan")
    master = Master(c.rows, c.need, c.stocks, range(len(c.stocks)), c.penalty, c.demand.homes)
    for column in first:
        master.add(column)
    counting = Counting(master, MOST_BUDGETS if len(c.stocks) <= FEW_STOCKS else 1)
    for _ in range(QUICK_TURNS):
        quick = generate(master, c.engine, pool, run.deadline, {}, True, QUICK_ROUNDS, counting)
        run.take(_whole(c, pool, run, 0.15), "choosing")
        if quick is None or quick.converged or run.deadline.over:
            break
    # On a large job the quick columns' prices must do; the bound from them is valid all the same.
    relaxed = quick if c.large else generate(master, c.engine, pool, run.deadline, {}, False, 200, counting)
    if relaxed is None:
        return "time"
    root = prove(master, c.engine, relaxed.sharpest, {}, counting)
    if relaxed.sharpest.unplaced < 1e-6:
        # Else it counts what missing parts are worth to the search, which is no money.
        run.raise_bound(root, "bound")
    run.take(_whole(c, pool, run, 1.0), "choosing")
    dived = dive(c, pool, run.deadline)
    run.take(None if dived is None else complete(c, dived, pool, run.deadline), "diving")
    hoods = Neighbourhoods(c, pool, random.Random(seed), run.deadline)
    tree = Branching(c, master, pool, counting, run.deadline, relaxed.solution, root)
    while not run.deadline.over and not run.done:
        for _ in range(HOODS_A_NODE):
            if run.best is not None and not run.deadline.over:
                run.take(hoods.step(run.best), "freeing boards")
        if hoods.tried % WHOLE_EVERY == 0:
            run.take(_whole(c, pool, run, 0.6), "choosing")
        if run.best is not None and not run.best.missing and not tree.stuck and not run.deadline.over and not c.large:
            tree.step(run.best.cost)
            run.raise_bound(min(tree.bound, run.best.cost), "branching on boards")
    return "gap" if run.done else "time"


def _whole(c: Context, pool: Pool, run: _Run, effort: float) -> Choice | None:
    columns = [k for i in range(len(c.stocks)) for k in pool.of(i)]
    hint = run.best.columns if run.best is not None else ()
    found = choose(columns, c.need, c.demand, (), max(0.5, min(5.0, run.deadline.left)), effort, hint)
    return None if found is None else complete(c, found, pool, run.deadline)


def _plan(run: _Run) -> Plan:
    c = run.context
    columns = run.best.columns if run.best is not None else ()
    boards, missing = board_plans(c.job, c.rows, c.items, c.stocks, [k.layout for k in columns])
    unplaced = tuple(Unplaced(name, qty, why_unplaced(c, name)) for name, qty in missing.items())
    return Plan(
        c.job.name,
        c.job.units,
        boards,
        unplaced,
        totals(c.job, boards, missing, run.bound if not missing else None, run.deadline.elapsed),
        extra={"history": [[p.seconds, p.cost, p.bound] for p in run.history]},
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
