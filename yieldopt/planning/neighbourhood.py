"""Large-neighbourhood search: free a few boards of a plan, price and choose again for what they supplied, repeat."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from yieldopt.deadline import Deadline
from yieldopt.planning.columns import Column, Pool
from yieldopt.planning.context import Context
from yieldopt.planning.generate import Counting, generate
from yieldopt.planning.master import Master
from yieldopt.planning.restrict import Choice, choose, evaluate

# Boards freed at once, and how hard each neighbourhood is worked.
FEWEST, MOST = 2, 5
PRICING_ROUNDS = 12
EFFORT = 0.6
# Most combinations of counted copies in a neighbourhood's pricing.
MOST_BUDGETS = 24


@dataclass
class Neighbourhoods:
    """Improves a choice one neighbourhood at a time; every decision depends on the seed and on counts only."""

    context: Context
    pool: Pool
    rng: random.Random
    deadline: Deadline
    tried: int = 0
    improved: int = 0

    def step(self, now: Choice) -> Choice:
        """One neighbourhood; returns the better of `now` and what was found."""
        free = self._pick(now)
        self.tried += 1
        found = self.within(now, free)
        if found is not None and found.value < now.value - 1e-6:
            self.improved += 1
            return found
        return now

    def within(self, now: Choice, free: Sequence[int]) -> Choice | None:
        """Best choice found when only the stocks `free` may change."""
        c = self.context
        kept = [k for k in now.columns if k.stock not in free]
        need = self._left(kept)
        if not any(n > 1e-9 for n in need):
            return evaluate(kept, c.need, c.demand)
        master = Master(c.rows, need, c.stocks, free, c.penalty, c.demand.homes)
        for column in self._start(now, free, need):
            master.add(column)
        relaxed = generate(master, c.engine, self.pool, self.deadline, {}, True, PRICING_ROUNDS, Counting(master, MOST_BUDGETS))
        if relaxed is None:
            return None
        columns = [k for i in free for k in self.pool.of(i) if self._useful(k, need)]
        rc = {id(k): self._reduced(k, relaxed.solution.pi[free.index(k.stock)], relaxed.solution.sigma[free.index(k.stock)]) for k in columns}
        columns.sort(key=lambda k: rc[id(k)])
        columns = columns[:400]
        mine = [k for k in now.columns if k.stock in free]
        columns += [k for k in mine if all(k is not q for q in columns)]
        found = choose(columns, need, c.demand, (), min(2.0, self.deadline.left), EFFORT, mine, self.rng.randrange(1 << 30))
        if found is None:
            return None
        return evaluate(kept + list(found.columns), c.need, c.demand)

    def _left(self, kept: Sequence[Column]) -> list[float]:
        need = self.context.need
        short = evaluate(kept, need, self.context.demand).missing
        return [short.get(r, 0.0) for r in range(len(need))]

    def _start(self, now: Choice, free: Sequence[int], need: Sequence[float]) -> list[Column]:
        mine = [k for k in now.columns if k.stock in free]
        some = [k for i in free for k in self.pool.of(i) if self._useful(k, need)]
        return mine + [k for k in some[-200:] if all(k is not q for q in mine)]

    @staticmethod
    def _useful(column: Column, need: Sequence[float]) -> bool:
        return any(need[r] > 1e-9 for r, _ in column.gives)

    @staticmethod
    def _reduced(column: Column, pi: Sequence[float], sigma: float) -> float:
        return column.cost - sum(pi[r] * a for r, a in column.gives) + sigma

    def _pick(self, now: Choice) -> list[int]:
        """A few cut stocks, and some that are not: by chance, or near in what they supply."""
        cut = sorted({k.stock for k in now.columns})
        others = [i for i in range(len(self.context.stocks)) if i not in cut and self.context.engine.full[i].cells.items]
        size = self.rng.randint(FEWEST, MOST)
        first = self.rng.choice(cut) if cut else None
        chosen = [first] if first is not None else []
        if first is not None and self.rng.random() < 0.5:
            rows = {r for k in now.columns if k.stock == first for r, _ in k.gives}
            alike = [i for i in cut if i != first and any(r in rows for k in now.columns if k.stock == i for r, _ in k.gives)]
            self.rng.shuffle(alike)
            chosen += alike[: size - 1]
        else:
            rest = [i for i in cut if i != first]
            chosen += self.rng.sample(rest, min(len(rest), size - 1))
        if others and self.rng.random() < 0.6:
            chosen += self.rng.sample(others, min(len(others), self.rng.randint(1, 2)))
        return sorted(chosen)
