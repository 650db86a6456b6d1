"""Large-neighbourhood search: free a few boards of a plan, price and choose again for what they supplied, repeat."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Column, Pool
from yieldopt.planning.master.programme import Master, Solution
from yieldopt.planning.master.recombine import recombine
from yieldopt.planning.master.restrict import Choice, evaluate
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.pricing.engine import Engine, OutOfTime
from yieldopt.planning.search.generate import Counting, generate, reduced_cost
from yieldopt.planning.tuning import Effort


@dataclass(frozen=True)
class _Task:
    """One neighbourhood: which stocks are freed, which of them must give a whole group, and what chance decides in it."""

    free: Sequence[int]
    home: tuple[str, int] | None
    quick: bool
    effort: Effort
    # What a missing unit of each row costs at first.
    short: Sequence[float]
    rng: random.Random


class Neighbourhoods:
    """Improves a choice a few neighbourhoods at a time, beside each other; every decision depends on the seed and on
    counts only."""

    def __init__(
        self,
        context: Context,
        pool: Pool,
        rng: random.Random,
        deadline: Deadline,
        prices: Solution,
        reduced: Mapping[int, float],
        short: Sequence[float],
        soon: bool = False,
    ) -> None:
        """`prices` are those of the bound and `reduced` what each stock costs beyond its worth at them, `short` what a
        missing unit of each row costs the neighbourhoods at first; with `soon` they are worked a quarter as hard."""
        self.context, self.pool, self.rng, self.deadline = context, pool, rng, deadline
        self.prices, self.reduced, self.short = prices, reduced, short
        tuned = self.tuned = context.tuning.freeing
        self.effort = tuned.soon if soon else tuned.many if len(context.which) > context.tuning.scale.many_stocks else tuned.few
        # Most boards freed now, and steps since the last that brought anything.
        self._most, self._idle = self.effort.most if soon else tuned.fewest + 1, 0
        self._at = {i: n for n, i in enumerate(context.which)}
        self.tried = 0
        self._engine = context.engine.alone()
        self._threads = ThreadPoolExecutor(tuned.at_once)

    def close(self) -> None:
        """Let the threads go."""
        self._threads.shutdown()

    def step(self, now: Choice) -> Choice:
        """A few neighbourhoods of `now` at once; returns the best of it and of what they found."""
        tasks = [self._draw(now) for _ in range(self.tuned.at_once)]
        work = [_Work(self.context, self._engine, self.pool.apart(), self.deadline.apart(), t) for t in tasks]
        best = now
        for w, found in zip(work, self._threads.map(lambda w: w.within(now), work), strict=True):
            self.pool.merge(w.pool)
            if found is not None and found.value < best.value - 1e-6:
                best = found
        self._resize(best is not now)
        return best

    def _resize(self, better: bool) -> None:
        """Small neighbourhoods as long as they bring something, since they take little time; larger ones once they don't."""
        self._idle = 0 if better else self._idle + 1
        if better:
            self._most = max(self.tuned.fewest + 1, self._most - 1)
        elif self._idle % self.tuned.grow_after == 0:
            self._most = min(self.effort.most, self._most + 1)

    def _draw(self, now: Choice) -> _Task:
        home = self._missing_group(now)
        free = self._pick(now, home[1] if home else None)
        self.tried += 1
        # Every other time all kinds of layout are priced, not only the quick ones.
        quick = not self.effort.full_rounds or self.context.large or self.tried % 4 < 2
        return _Task(free, home, quick, self.effort, self.short, random.Random(self.rng.randrange(1 << 30)))

    def _missing_group(self, now: Choice) -> tuple[str, int] | None:
        """A group without a home and a stock that could be one; None where all groups are placed."""
        groups = sorted({g for r in now.missing if (g := self.context.rows[r].board_group) is not None})
        if not groups:
            return None
        group = self.rng.choice(groups)
        homes = self.context.demand.homes.get(group, ())
        return (group, self.rng.choice(list(homes))) if homes else None

    def _pick(self, now: Choice, home: int | None) -> list[int]:
        """A few cut stocks, and some that are not: those that can give what is missing, near ones, or by chance."""
        cut = sorted({k.stock for k in now.columns})
        others = [i for i in self.context.which if i not in cut and self.context.engine.full[i].cells.items]
        size = self.rng.randint(self.tuned.fewest, self._most)
        loss = {k.stock: max(0.0, self._loss(k)) for k in now.columns} if self.rng.random() < self.tuned.guided else {}
        able = [i for i in self.context.which if self._can_give(i, now.missing)] if now.missing else []
        if home is not None:
            chosen = [home]
        elif able:
            chosen = [self.rng.choice(able)]
        else:
            chosen = self._drawn(cut, loss, 1)
        first = chosen[0] if chosen else None
        alike = [i for i in cut if i != first and first is not None and self._alike(i, first)]
        if len(alike) < size - 1:
            alike = [i for i in cut if i != first]
        chosen += self._drawn(alike, loss, size - 1)
        if able:
            others = [i for i in others if i in able] or others
        others = [i for i in others if i not in chosen]
        if others and (now.missing or self.rng.random() < self.tuned.uncut):
            gain = {i: 1 / (1 + max(0.0, self.reduced.get(i, 0.0))) for i in others} if loss else {}
            chosen += self._drawn(others, gain, self.rng.randint(1, 2))
        return sorted(set(chosen))

    def _loss(self, column: Column) -> float:
        """What the column adds to the gap: what it costs beyond the worth of what it gives at the bound's prices."""
        return reduced_cost(self.prices, self._at[column.stock], column)

    def _drawn(self, stocks: Sequence[int], weight: Mapping[int, float], count: int) -> list[int]:
        """So many of the stocks at most, drawn by their weight; evenly where no weights are given."""
        left, drawn = list(stocks), list[int]()
        least = self.tuned.even * sum(weight.get(i, 0.0) for i in stocks) / max(1, len(stocks)) + 1e-9
        while left and len(drawn) < count:
            [i] = self.rng.choices(left, [weight.get(i, 0.0) + least for i in left])
            left.remove(i)
            drawn.append(i)
        return drawn

    def _can_give(self, stock: int, missing: Mapping[int, float]) -> bool:
        cells = self.context.engine.full[stock].cells
        return any(r in missing for k in cells.items for r, _ in self.context.items[k].gives)

    def _alike(self, a: int, b: int) -> bool:
        """Same species, so that what one gives the other may give."""
        return self.context.stocks[a].board.species == self.context.stocks[b].board.species


@dataclass
class _Work:
    """One neighbourhood being worked on: an engine, a pool and a clock of its own."""

    context: Context
    engine: Engine
    pool: Pool
    deadline: Deadline
    task: _Task

    def within(self, now: Choice) -> Choice | None:
        """Best choice found when only the freed stocks may change."""
        c, free, home, tuned = self.context, self.task.free, self.task.home, self.context.tuning.freeing
        kept = [k for k in now.columns if k.stock not in free]
        need = self._left(kept, now)
        if not any(n > 1e-9 for n in need):
            return evaluate(kept, c.need, c.demand)
        master = Master(c.rows, need, c.stocks, free, c.penalty, c.demand.homes, self.task.short)
        most = tuned.most_budgets_few if len(c.which) <= c.tuning.scale.few_stocks else tuned.most_budgets
        counting = Counting(master, most, c.tuning.generating, c.engine.work_of)
        if home is not None and home in master.choices:
            master.set_choice(*home, 1.0, 1.0)
            counting.group(home[1], home[0])
        for column in self._start(now, free, need):
            master.add(column)
        relaxed = None
        effort = self.task.effort
        for quick, rounds in ((True, effort.rounds), (False, effort.full_rounds))[: 1 if self.task.quick else 2]:
            relaxed = generate(master, self.engine, self.pool, self.deadline, {}, quick, rounds, counting, close=tuned.sharp)
            if relaxed is None:
                return None
        assert relaxed is not None
        if len(c.which) <= c.tuning.scale.few_stocks:
            self._allot(free, need)
        columns = [k for i in free for k in self.pool.of(i) if self._useful(k, need)]
        at, prices = {i: n for n, i in enumerate(free)}, relaxed.solution
        columns.sort(key=lambda k: reduced_cost(prices, at[k.stock], k))
        mine = [k for k in now.columns if k.stock in free]
        seconds, seed = self.deadline.brief(tuned.choosing_seconds), self.task.rng.randrange(1 << 30)
        found = recombine(columns, need, c.demand, c.stocks, c.items, tuned.most_sections, seconds, effort.choosing, mine, seed)
        if found is None:
            return None
        for k in found.columns:
            self.pool.add(k)
        return evaluate(kept + list(found.columns), c.need, c.demand)

    def _allot(self, free: Sequence[int], need: Sequence[float]) -> None:
        """Cheapest layouts that give just so many of each row, drawn by chance: what the relaxation's prices can't name,
        since mixtures of richer layouts look as good to it."""
        c, rng, tuned = self.context, self.task.rng, self.context.tuning.freeing
        worth = np.array([c.penalty * float(r.finished) for r in c.rows])
        for i in free:
            most = min(tuned.most_for_allotment, c.tuning.generating.counted_work / max(1.0, self.engine.work_of(i)))
            for _ in range(tuned.allotments if most >= tuned.fewest_for_allotment else 0):
                wanted = [rng.randint(0, int(n)) if r.kind != "stave" else 0 for n, r in zip(need, c.rows, strict=True)]
                size, counted = 1, []
                for r in rng.sample(range(len(wanted)), len(wanted)):
                    if wanted[r] and size * (wanted[r] + 1) <= most:
                        size *= wanted[r] + 1
                        counted.append((r, wanted[r]))
                if counted and not self.deadline.over:
                    values = np.zeros(len(c.rows))
                    for r, _ in counted:
                        values[r] = worth[r]
                    try:
                        priced = self.engine.price([i], [values], [tuple(sorted(counted))], False, self.deadline)
                    except OutOfTime:
                        return
                    for p in priced:
                        self.pool.add(p.column)

    def _left(self, kept: Sequence[Column], now: Choice) -> list[float]:
        """What the freed stocks must supply; a little more of staves that are wide enough in all but can't be shared out."""
        need = self.context.need
        short = evaluate(kept, need, self.context.demand).missing
        left = [short.get(r, 0.0) for r in range(len(need))]
        for r, missing in now.missing.items():
            if self.context.rows[r].kind == "stave":
                left[r] += missing
        return left

    def _start(self, now: Choice, free: Sequence[int], need: Sequence[float]) -> list[Column]:
        mine = [k for k in now.columns if k.stock in free]
        some = [k for i in free for k in self.pool.of(i) if self._useful(k, need)]
        return mine + [k for k in some[-self.context.tuning.freeing.most_begun :] if all(k is not q for q in mine)]

    @staticmethod
    def _useful(column: Column, need: Sequence[float]) -> bool:
        return any(need[r] > 1e-9 for r, _ in column.gives)
