"""How fragile a plan is, asked within a time: what is tried when, and the robust plan where one is wanted."""

from __future__ import annotations

from dataclasses import dataclass, replace

from yieldopt.checking import check
from yieldopt.fragility.chances_told import in_file, robust_told, told
from yieldopt.fragility.reserve import Reserve, on_fresh_draws, what_to_buy
from yieldopt.fragility.robust import RobustSearch, fresh, keeps, marked_robust, needed, robust, sure, ways_to_raise
from yieldopt.fragility.study import Candidate, Chance, Watcher, study
from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import CheckFailed, UsageError
from yieldopt.luck.rates import Rates
from yieldopt.planned.checked import plan_files
from yieldopt.planned.running import stopping
from yieldopt.planning.warming import warm
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan
from yieldopt.workers.runner import Runner

# Draws that show how long one takes, and seconds from which on processes of their own pay for all draws.
TASTE, POOL_PAYS = 4, 20.0
# Seconds to lay out a spare.
SPARE_SECONDS = 2.0
# Seconds for fresh draws once the search was stopped by hand, and at least otherwise.
AFTER_CTRL_C, LEAST_FRESH = 8.0, 30.0


@dataclass(frozen=True)
class Wanted:
    """What is asked."""

    rates: Rates
    draws: int
    seconds: float
    seed: int
    # The chance that a robust plan has to have; None: no such plan is wanted.
    target: float | None
    watch: Watcher | None = None


@dataclass(frozen=True)
class Robustness:
    """The plan chosen, on fresh draws too, and what to buy where the stock is too little."""

    best: Chance
    tested: Chance
    target: float
    reserve: Reserve | None
    # The same on fresh draws.
    bought: Reserve | None
    # The search ran out of time.
    late: bool

    @property
    def promised(self) -> bool:
        """Has the plan the chance asked for, and keeps it on fresh draws?"""
        return self.best.share >= self.target and keeps(self.tested, self.target)


@dataclass(frozen=True)
class Found:
    """What came of it."""

    first: Chance
    others: list[Chance]
    robustness: Robustness | None

    def lines(self) -> list[str]:
        """All of it in words."""
        r = self.robustness
        more = [] if r is None else robust_told(self.first, r.best, r.tested, r.target, r.reserve, r.bought, r.late)
        return [*told(self.first, self.others), *more]


def inquire(job: Job, plan: Plan, wanted: Wanted) -> Found:
    """Within about `wanted.seconds`; Ctrl-C ends it with what was found. Raises `UsageError` where that is nothing."""
    warm()
    deadline = Deadline(wanted.seconds)
    base = Candidate("as planned", job, plan, needed(job, plan))
    with Runner(ready=warm) as runner:
        search = RobustSearch(wanted.rates, wanted.draws, wanted.seed, SPARE_SECONDS, deadline, wanted.watch)
        with stopping(deadline):
            search, first = _first(base, search, runner)
            took = deadline.elapsed
            others = ways_to_raise(first, search)
            best = reserve = None
            if wanted.target is not None:
                best = robust(first, others, wanted.target, search)
                reserve = None if sure(best, wanted.target) else what_to_buy(best, wanted.target, search)
        if not first.draws:
            raise UsageError("stopped before the first trial")
        if best is None or wanted.target is None:
            return Found(first, others, None)
        late = deadline.over
        last = replace(search, deadline=Deadline(_for_fresh(deadline, wanted.seconds, took)))
        with stopping(last.deadline):
            tested = fresh(best.candidate, last)
            bought = on_fresh_draws(reserve, tested, last) if reserve else None
    return Found(first, others, Robustness(best, tested, wanted.target, reserve, bought, late))


def _first(base: Candidate, search: RobustSearch, runner: Runner) -> tuple[RobustSearch, Chance]:
    """The plan as it is; and the search with processes where a few draws show that it pays to start them."""
    seed = str(search.seed)
    taste = study(base, search.rates, min(TASTE, search.draws), seed, search.deadline)
    if search.deadline.elapsed / TASTE * search.draws > POOL_PAYS:
        runner.start()
        search = replace(search, runner=runner)
    first = study(base, search.rates, search.draws, seed, search.deadline, search.watch, search.runner)
    # Processes may be stopped while later draws are done and the first ones are not; those were made before, the same.
    return search, max(taste, first, key=lambda chance: chance.draws)


def _for_fresh(deadline: Deadline, seconds: float, took: float) -> float:
    """Seconds for draws that chose nothing: Ctrl-C ends the search soon, yet what it found has to be tried on some."""
    stopped = deadline.over and deadline.elapsed < seconds
    return AFTER_CTRL_C if stopped else max(LEAST_FRESH, deadline.left, 2 * took)


def robust_files(r: Robustness, rates: Rates) -> dict[str, str | bytes]:
    """The robust plan and its job as files. Raises `CheckFailed` if the check refuses the plan."""
    c = r.best.candidate
    findings = check(c.job, c.plan)
    if findings:
        raise CheckFailed([str(f) for f in findings])
    return plan_files(c.job, marked_robust(r.tested, rates, in_file(r.bought)))
