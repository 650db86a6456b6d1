"""Branch and price on which boards are cut and which board a group comes from: raises the bound above the relaxation."""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from dataclasses import dataclass, field

from yieldopt.deadline import Deadline
from yieldopt.planning.columns import Pool
from yieldopt.planning.context import Context
from yieldopt.planning.generate import Counting, generate, prove
from yieldopt.planning.master import Master, Solution

# Shares closer to a whole number than this count as whole.
WHOLE = 1e-5
# Rounds of pricing at a node; its bound is valid however many there were.
NODE_ROUNDS = 30


@dataclass(order=True)
class _Node:
    bound: float
    number: int
    # stock -> 1 (cut) or 0 (left).
    fixed: dict[int, int] = field(compare=False)
    # (group, stock) -> 1 or 0.
    homes: dict[tuple[str, int], int] = field(compare=False)
    # True where nothing is left to branch on: its bound is final.
    leaf: bool = field(compare=False, default=False)


class Branching:
    """Open nodes in order of bound; the least of them is the bound of the whole problem."""

    def __init__(
        self, context: Context, master: Master, pool: Pool, counting: Counting, deadline: Deadline, root: Solution, bound: float
    ) -> None:
        self.context, self.master, self.pool, self.counting, self.deadline = context, master, pool, counting, deadline
        self.nodes = 0
        self._count = 0
        self._open: list[_Node] = []
        self._split(_Node(bound, 0, {}, {}), root)

    @property
    def bound(self) -> float:
        """Proven for the whole problem; infinite when every node was cut off by a known cost."""
        return self._open[0].bound if self._open else float("inf")

    @property
    def stuck(self) -> bool:
        """True where more branching can't raise the bound."""
        return not self._open or self._open[0].leaf

    def step(self, cost: float) -> None:
        """Work on the open node with the least bound; `cost` is that of the best choice known."""
        node = heapq.heappop(self._open)
        self.nodes += 1
        self._set(node)
        relaxed = generate(
            self.master, self.context.engine, self.pool, self.deadline, node.fixed, False, NODE_ROUNDS, self.counting, cost
        )
        if relaxed is None:
            return
        node.bound = max(node.bound, prove(self.master, self.context.engine, relaxed.sharpest, node.fixed, self.counting))
        if self.deadline.over:
            heapq.heappush(self._open, node)
        elif node.bound < cost:
            self._split(node, relaxed.solution)

    def release(self) -> None:
        """Take every fixing out of the master."""
        self._set(_Node(0.0, 0, {}, {}))

    def _set(self, node: _Node) -> None:
        for i in self.master.which:
            state = node.fixed.get(i)
            self.master.set_use(i, 1.0 if state == 1 else 0.0, 0.0 if state == 0 else 1.0)
        for key in self.master.choice:
            home = node.homes.get(key)
            self.master.set_choice(*key, 1.0 if home == 1 else 0.0, 0.0 if home == 0 else 1.0)

    def _split(self, node: _Node, solution: Solution) -> None:
        for key, share in sorted(solution.chosen.items(), key=lambda c: abs(c[1] - 0.5)):
            if WHOLE < share < 1 - WHOLE:
                self._push(node, node.fixed, {**node.homes, key: 1})
                self._push(node, node.fixed, {**node.homes, key: 0})
                return
        used = self._use(solution)
        costs = self.context.stocks
        open_shares = [
            (min(u, 1 - u) * float(costs[i].cost + 1), i)
            for i, u in used.items()
            if WHOLE < u < 1 - WHOLE and i not in node.fixed
        ]
        if open_shares:
            i = max(open_shares, key=lambda o: (o[0], -o[1]))[1]
            self._push(node, {**node.fixed, i: 1}, node.homes)
            self._push(node, {**node.fixed, i: 0}, node.homes)
        else:
            self._push(node, node.fixed, node.homes, leaf=True)

    def _use(self, solution: Solution) -> Mapping[int, float]:
        used = dict.fromkeys(self.master.which, 0.0)
        for column, share in zip(self.master.columns, solution.shares, strict=False):
            used[column.stock] += share
        return used

    def _push(self, node: _Node, fixed: dict[int, int], homes: dict[tuple[str, int], int], leaf: bool = False) -> None:
        self._count += 1
        heapq.heappush(self._open, _Node(node.bound, self._count, fixed, homes, leaf))
