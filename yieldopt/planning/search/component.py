"""The search for one component of a job: columns, a first choice, the bound, then neighbourhoods and branching."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from enum import IntEnum
from itertools import count
from math import inf

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Column, Pool
from yieldopt.planning.master.programme import Master, Solution
from yieldopt.planning.master.recombine import recombine
from yieldopt.planning.master.restrict import Choice, evaluate
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.search.branch import Branching
from yieldopt.planning.search.complete import complete
from yieldopt.planning.search.dive import dive
from yieldopt.planning.search.first import first_columns
from yieldopt.planning.search.generate import TOLERANCE, Counting, Relaxed, generate, prove, reduced_cost
from yieldopt.planning.search.neighbourhood import Neighbourhoods
from yieldopt.planning.search.tight import Tight
from yieldopt.planning.search.ways import Course, Courses


class Stage(IntEnum):
    """How far a search has come; components are brought on evenly."""

    FIRST_PLAN = 0
    CHOOSING = 1
    BOUND = 2
    DIVING = 3
    IMPROVING = 4
    PROVEN = 5


class ComponentSearch:
    """The best choice and the bound of one component; `step` works on them until the search is `over`."""

    def __init__(self, context: Context, seed: int, deadline: Deadline) -> None:
        self.context, self.deadline, self.tuned = context, deadline, context.tuning.steering
        self.best: Choice | None = None
        self.bound: float | None = None
        self.stage = Stage.FIRST_PLAN
        self._seed, self._rng = seed, random.Random(seed)
        self.pool = Pool(len(context.stocks))
        self._steps = self._run()
        # Prices by which layouts are ranked.
        self._prices: Solution | None = None
        # Steps in which something was solved.
        self._solved = 0
        # Neighbourhoods since the last that brought anything.
        self._hoods_idle = 0
        # Steps since the last that brought anything.
        self._idle = 0
        # Work on improving so far, the more the less it might have won (stride scheduling).
        self._passed = 0.0

    @property
    def cost(self) -> float | None:
        """Net cost of the best choice; None while it misses a part."""
        return self.best.cost if self.best is not None and not self.best.missing else None

    @property
    def open_gap(self) -> float:
        """Money between cost and bound; infinite while either is unknown."""
        return inf if self.cost is None or self.bound is None else max(0.0, self.cost - self.bound)

    @property
    def proven(self) -> bool:
        """True where no layout of the kinds considered can save more than what the proof itself may be off by."""
        return self.open_gap <= 2 * TOLERANCE * max(1.0, self.cost or 0.0)

    @property
    def missing(self) -> float:
        """Finished parts without a place."""
        c = self.context
        if self.best is None:
            return sum(n * float(row.finished) for n, row in zip(c.need, c.rows, strict=True))
        short = {**self.best.missing, **{r: c.need[r] for r in c.demand.fallen(self.best.missing)}}
        return sum(m * float(c.rows[r].finished) for r, m in short.items())

    @property
    def _work(self) -> float:
        """Cells priced so far, by all components, and what solving took."""
        return self.context.engine.cells + self.tuned.solving * self._solved

    @property
    def ranked(self) -> list[Column]:
        """Every layout met, the most promising first once there are prices."""
        which = self.context.which
        columns = [k for i in which for k in self.pool.of(i)]
        if self._prices is not None:
            at, prices = {i: n for n, i in enumerate(which)}, self._prices
            columns.sort(key=lambda k: reduced_cost(prices, at[k.stock], k))
        return columns

    def step(self) -> None:
        """Work a little: a round or two of pricing, a choice, a neighbourhood, a node."""
        before, work = (self.best, self.bound), self._work
        self.stage = next(self._steps, Stage.PROVEN)
        self._idle = 0 if (self.best, self.bound) != before else self._idle + 1
        if self.stage is Stage.IMPROVING:
            # What a further step may win: the open gap, less the longer nothing has come of it.
            self._passed += (self._work - work) * (1 + self._idle / self.tuned.patience) / max(self.open_gap, 1e-9)

    @property
    def turn(self) -> tuple[bool, bool, Stage, float]:
        """Order among searches, least first: those not begun, then those that still miss a part, unless they have tried
        everything there is for it; then evenly by stage, in the end by shares of what there is to win."""
        return (self.best is not None, self.cost is not None or self.stage >= Stage.IMPROVING, self.stage, self._passed)

    def _take(self, choice: Choice | None) -> None:
        if choice is not None and (self.best is None or choice.value < self.best.value - 1e-9):
            self.best = choice

    def _raise_bound(self, bound: float) -> None:
        if bound > -inf and (self.bound is None or bound > self.bound):
            self.bound = bound

    def _run(self) -> Iterator[Stage]:
        """Yields the stage after each step."""
        c, pool, deadline, tuned = self.context, self.pool, self.deadline, self.tuned
        first = first_columns(c)
        for column in first:
            pool.add(column)
        self._take(complete(c, evaluate(first, c.need, c.demand), pool, deadline))
        yield Stage.FIRST_PLAN
        yield from self._tight()
        master = Master(c.rows, c.need, c.stocks, c.which, c.penalty, c.demand.homes, c.short)
        for column in first:
            master.add(column)
        few = len(c.which) <= c.tuning.scale.few_stocks
        counting = Counting(master, tuned.most_budgets if few else 1, c.tuning.generating, c.engine.work_of)
        relaxed = generate(master, c.engine, pool, deadline, {}, True, tuned.soon_rounds, counting, close=tuned.quick_sharp)
        if relaxed is None:
            return
        yield from self._soon(relaxed, [tuned.ample * s for s in master.short])
        for _ in range(tuned.quick_turns):
            relaxed = generate(master, c.engine, pool, deadline, {}, True, tuned.quick_rounds, counting, close=tuned.quick_sharp)
            self._prices = relaxed.sharpest if relaxed is not None else None
            self._whole(tuned.quick_effort)
            yield Stage.CHOOSING
            if relaxed is None or relaxed.converged or deadline.over:
                break
        if self.cost is None:
            self._dive()
            yield Stage.DIVING
        if not c.large:
            # On a large job the quick columns' prices must do; the bound from them is valid all the same.
            relaxed = generate(master, c.engine, pool, deadline, {}, False, tuned.root_rounds, counting, close=tuned.root_sharp)
        if relaxed is None:
            return
        self._prices = relaxed.sharpest
        root = prove(master, c.engine, relaxed.sharpest, {}, counting)
        if relaxed.solution.unplaced < 1e-6:
            # Else it counts what missing parts are worth to the search, which is no money.
            self._raise_bound(root.bound)
        yield Stage.BOUND
        self._dive()
        yield Stage.DIVING
        self._whole(tuned.whole_effort)
        yield Stage.DIVING
        ample = [tuned.ample * s for s in master.short]
        hoods = Neighbourhoods(c, pool, self._rng, deadline, relaxed.sharpest, root.reduced, ample)
        tree = Branching(c, master, pool, counting, deadline, relaxed.solution, root)
        try:
            yield from self._improve(hoods, tree)
        finally:
            hoods.close()
            tree.close()

    def _tight(self) -> Iterator[Stage]:
        """Where parts are missing and nearly all wood is needed, a place for each comes before the cost; one step in all."""
        if self.cost is not None:
            return
        limit = self.deadline.part(self.deadline.brief(self.context.tuning.dense.share * self.deadline.left))
        tight = Tight(self.context, self._seed, limit)
        if tight.suits:
            for found in tight.tries():
                for k in found.columns:
                    self.pool.add(k)
                self._take(found)
            yield Stage.FIRST_PLAN

    def _soon(self, relaxed: Relaxed, short: Sequence[float]) -> Iterator[Stage]:
        """A choice from the first few layouts, by dearer and dearer ways while it misses a part or costs far too much."""
        effort = self.tuned.soon_effort
        ways: list[Callable[[], None]] = [lambda: self._whole(effort), lambda: self._dive(0), lambda: self._dive(1)]
        for way in ways:
            rough = self.cost is None or self.cost > self.tuned.rough * relaxed.solution.value
            if rough and not self.deadline.over:
                way()
                yield Stage.CHOOSING
        hoods = Neighbourhoods(self.context, self.pool, self._rng, self.deadline, relaxed.sharpest, {}, short, True)
        try:
            began = self._work
            while self.cost is None and not self.deadline.over and self._work - began < self.tuned.soon_work:
                self._hood(hoods)
                yield Stage.CHOOSING
        finally:
            hoods.close()

    def _dive(self, rounds: int | None = None) -> None:
        dived = dive(self.context, self.pool, self.deadline, rounds)
        self._take(None if dived is None else complete(self.context, dived, self.pool, self.deadline))

    def _improve(self, hoods: Neighbourhoods, tree: Branching) -> Iterator[Stage]:
        hood, node = Course(lambda: self._hood(hoods)), Course(lambda: self._node(tree))
        ways = Courses([hood, node], lambda: self._work, self.context.tuning.turns)

        def able(way: Course) -> bool:
            later = self.context.large or tree.done or self.cost is None or self._hoods_idle < self.tuned.nodes_after
            return way is hood or not later

        for turn in count():
            if self.proven:
                break
            if (turn + 1) % self.tuned.whole_every == 0:
                self._whole(self.tuned.again_effort)
            elif not self.deadline.over:
                ways.step(able, lambda: self.open_gap)
            yield Stage.IMPROVING

    def _hood(self, hoods: Neighbourhoods) -> None:
        self._solved += 1
        before = self.best
        if before is not None:
            self._take(hoods.step(before))
        self._hoods_idle = self._hoods_idle + 1 if self.best is before else 0

    def _node(self, tree: Branching) -> None:
        self._solved += 1
        if self.cost is not None:
            for choice in tree.step(self.cost):
                self._take(choice)
            self._raise_bound(min(tree.bound, self.cost))

    def _whole(self, effort: float) -> None:
        """A choice of the sections of all layouts known; left out where stocks are many."""
        c = self.context
        if len(c.which) > c.tuning.scale.many_stocks:
            return
        self._solved += 1
        columns = self.ranked
        hint = self.best.columns if self.best is not None else ()
        seconds = self.deadline.brief(self.tuned.whole_seconds)
        found = recombine(columns, c.need, c.demand, c.stocks, c.items, self.tuned.most_sections, seconds, effort, hint)
        if found is not None:
            for k in found.columns:
                self.pool.add(k)
            self._take(complete(c, found, self.pool, self.deadline))
