"""Branch and price on which boards are cut, which board a group comes from and how many copies a board supplies: raises
the bound above the relaxation."""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import inf

from yieldopt.deadline import Deadline
from yieldopt.planning.columns import Pool
from yieldopt.planning.context import Context
from yieldopt.planning.generate import Counting, Proof, generate, prove
from yieldopt.planning.master import Master, Solution
from yieldopt.planning.recombine import recombine
from yieldopt.planning.restrict import Choice

# Shares closer to a whole number than this count as whole.
WHOLE = 1e-5
# Rounds of pricing at a node; its bound is valid however many there were.
NODE_ROUNDS = 30
# Work of the solver in whole numbers on the layouts that a node's relaxation uses.
ROUNDING_EFFORT = 0.02
MOST_SECTIONS = 200


@dataclass(order=True)
class _Node:
    bound: float
    number: int
    # stock -> 1 (cut) or 0 (left).
    fixed: dict[int, int] = field(compare=False)
    # (group, stock) -> 1 or 0.
    homes: dict[tuple[str, int], int] = field(compare=False)
    # (stock, row) -> most and least copies that the stock supplies.
    most: dict[tuple[int, int], int] = field(compare=False, default_factory=dict)
    least: dict[tuple[int, int], int] = field(compare=False, default_factory=dict)


class Branching:
    """Open nodes in order of bound; the least of them is the bound of the whole problem."""

    def __init__(
        self,
        context: Context,
        master: Master,
        pool: Pool,
        counting: Counting,
        deadline: Deadline,
        root: Solution,
        proof: Proof,
        cost: float,
    ) -> None:
        self.context, self.master, self.pool, self.counting, self.deadline = context, master, pool, counting, deadline
        self.nodes = 0
        self._count = 0
        self._open: list[_Node] = []
        # Least bound of the nodes that can't be split further.
        self._closed = inf
        self._split(_Node(proof.bound, 0, proof.decided(cost), {}), root)

    @property
    def bound(self) -> float:
        """Proven for the whole problem; infinite when every node was cut off by a known cost."""
        return min(self._closed, self._open[0].bound if self._open else inf)

    @property
    def done(self) -> bool:
        """True where no node is left to work on."""
        return not self._open

    def step(self, cost: float) -> Choice | None:
        """Work on the open node with the least bound; `cost` is that of the best choice known. Returns the choice that the
        node's relaxation comes to in whole numbers."""
        node = heapq.heappop(self._open)
        self.nodes += 1
        self._set(node)
        counting = self.counting.within(node.most)
        relaxed = generate(
            self.master, self.context.engine, self.pool, self.deadline, node.fixed, False, NODE_ROUNDS, counting, cost
        )
        if relaxed is None:
            return None
        proof = prove(self.master, self.context.engine, relaxed.sharpest, node.fixed, counting)
        node.bound = max(node.bound, proof.bound)
        node.fixed = {**node.fixed, **proof.decided(cost)}
        if self.deadline.over:
            heapq.heappush(self._open, node)
        elif node.bound < cost:
            self._split(node, relaxed.solution)
        return self._rounded(relaxed.solution)

    def _rounded(self, solution: Solution) -> Choice | None:
        """The cheapest choice of the sections that the relaxation uses."""
        c = self.context
        used = [k for k, share in zip(self.master.columns, solution.shares, strict=False) if share > WHOLE]
        return recombine(used, c.need, c.demand, c.stocks, c.items, MOST_SECTIONS, self.deadline.left, ROUNDING_EFFORT)

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
        self.master.set_copies(node.most, node.least)

    def _split(self, node: _Node, solution: Solution) -> None:
        home = self._open_home(solution)
        if home is not None:
            self._push(replace(node, homes={**node.homes, home: 1}), replace(node, homes={**node.homes, home: 0}))
            return
        stock = self._open_stock(node, solution)
        if stock is not None:
            self._push(replace(node, fixed={**node.fixed, stock: 1}), replace(node, fixed={**node.fixed, stock: 0}))
            return
        copies = self._open_copies(node, solution)
        if copies is not None:
            key, most = copies
            self._push(
                replace(node, most={**node.most, key: most}),
                replace(node, least={**node.least, key: most + 1}, fixed={**node.fixed, key[0]: 1}),
            )
            return
        # Nothing is left to branch on: its bound is final.
        self._closed = min(self._closed, node.bound)

    @staticmethod
    def _open_home(solution: Solution) -> tuple[str, int] | None:
        """The group and stock whose choice is most in doubt."""
        doubt = [(abs(share - 0.5), key) for key, share in solution.chosen.items() if WHOLE < share < 1 - WHOLE]
        return min(doubt)[1] if doubt else None

    def _open_stock(self, node: _Node, solution: Solution) -> int | None:
        """The stock of which it is most in doubt, and costs most, whether it is cut."""
        doubt = [
            (min(u, 1 - u) * float(self.context.stocks[i].cost + 1), -i)
            for i, u in self._use(solution).items()
            if WHOLE < u < 1 - WHOLE and i not in node.fixed
        ]
        return -max(doubt)[1] if doubt else None

    def _open_copies(self, node: _Node, solution: Solution) -> tuple[tuple[int, int], int] | None:
        """A stock and row of which layouts that are mixed supply different numbers of copies, and the number to part them
        at: where the copies in doubt are worth most."""
        best: tuple[float, tuple[int, int], int] | None = None
        # Columns added since have no share.
        known = len(solution.shares)
        for n, i in enumerate(self.master.which):
            shares = [(k, solution.shares[k]) for k in self.master.at[i] if k < known]
            mixed = [(self.master.columns[k], share) for k, share in shares if share > WHOLE]
            if len(mixed) < 2:
                continue
            for r in sorted({r for column, _ in mixed for r, _ in column.gives if self.counting.whole[r]}):
                copies = [(dict(column.gives).get(r, 0.0), share) for column, share in mixed]
                mean = sum(a * share for a, share in copies)
                most = int(mean + WHOLE)
                above = sum((a - most) * share for a, share in copies if a > most)
                # What is left after both branches: those above come down, those below go up.
                doubt = min(above, mean - most if mean - most > WHOLE else above) * float(solution.pi[n][r])
                if doubt > WHOLE and (best is None or doubt > best[0]):
                    best = (doubt, (i, r), most)
        return best[1:] if best is not None else None

    def _use(self, solution: Solution) -> Mapping[int, float]:
        used = dict.fromkeys(self.master.which, 0.0)
        for column, share in zip(self.master.columns, solution.shares, strict=False):
            used[column.stock] += share
        return used

    def _push(self, *nodes: _Node) -> None:
        for node in nodes:
            self._count += 1
            heapq.heappush(self._open, replace(node, number=self._count))
