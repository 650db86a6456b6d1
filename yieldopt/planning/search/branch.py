"""Branch and price on which boards are cut, which board a group comes from and how many copies a board supplies: raises
the bound above the relaxation."""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from math import inf

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Column, Pool, column_of
from yieldopt.planning.layouts.layout import Layout
from yieldopt.planning.master.programme import Master, Solution
from yieldopt.planning.master.recombine import recombine
from yieldopt.planning.master.restrict import Choice
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.pricing.engine import Engine
from yieldopt.planning.search.generate import Counting, Proof, generate, prove

# Shares closer to a whole number than this count as whole.
WHOLE = 1e-5


@dataclass(order=True)
class Node:
    bound: float
    number: int
    # stock -> 1 (cut) or 0 (left).
    fixed: dict[int, int] = field(compare=False)
    # (group, stock) -> 1 or 0.
    homes: dict[tuple[str, int], int] = field(compare=False)
    # (stock, row) -> most and least copies that the stock supplies.
    most: dict[tuple[int, int], int] = field(compare=False, default_factory=dict)
    least: dict[tuple[int, int], int] = field(compare=False, default_factory=dict)
    # True where nothing was left to split by, as far as its relaxation was solved: it is then solved to the end.
    sharp: bool = field(compare=False, default=False)
    # True once it is, with still nothing to split by: its bound is final.
    settled: bool = field(compare=False, default=False)
    leaf: bool = field(compare=False, default=False)


class Branching:
    """Open nodes in order of bound; the least of them is the bound of the whole problem. A few nodes at a time are worked
    on beside each other; every decision depends on counts only."""

    def __init__(
        self, context: Context, master: Master, pool: Pool, counting: Counting, deadline: Deadline, root: Solution, proof: Proof
    ) -> None:
        self.context, self.pool, self.counting, self.deadline = context, pool, counting, deadline
        self._count = 0
        self._open: list[Node] = []
        # Least bound of the nodes that can't be split further.
        self._closed = inf
        engine = context.engine.alone()
        at_once = context.tuning.branching.at_once
        self._workers = [NodeWorker(context, engine, master.columns) for _ in range(at_once)]
        self._threads = ThreadPoolExecutor(at_once)
        self._push(Splitting(context, master, counting).split(Node(proof.bound, 0, {}, {}), root))

    def close(self) -> None:
        """Let the threads go."""
        self._threads.shutdown()

    @property
    def bound(self) -> float:
        """Proven for the whole problem; infinite when every node was cut off by a known cost."""
        return min(self._closed, self._open[0].bound if self._open else inf)

    @property
    def done(self) -> bool:
        """True where no node is left to work on."""
        return not self._open

    def step(self, cost: float) -> list[Choice]:
        """Work on the open nodes with the least bounds; `cost` is that of the best choice known. Returns the choices that
        the nodes' relaxations come to in whole numbers."""
        nodes = [heapq.heappop(self._open) for _ in self._workers[: len(self._open)]]
        tasks = [
            NodeTask(node, cost, self.pool.apart(), self.deadline.apart(), self.counting.within(node.most)) for node in nodes
        ]
        workers = self._workers[: len(tasks)]
        known = [len(w.master.columns) for w in workers]
        solved = list(self._threads.map(lambda w, t: w.work(t), workers, tasks))
        news = [w.master.columns[n:] for w, n in zip(workers, known, strict=True)]
        for w in self._workers:
            for other, columns in zip(workers, news, strict=True):
                if other is not w:
                    for column in columns:
                        w.master.add(column)
        found: list[Choice] = []
        for worker, task, solution in zip(workers, tasks, solved, strict=True):
            self.pool.merge(task.pool)
            node = task.node
            if self.deadline.over:
                heapq.heappush(self._open, node)
            elif solution is None and node.leaf:
                self._push([node])
            elif node.bound < cost and solution is not None:
                self._push(Splitting(self.context, worker.master, self.counting).split(node, solution))
            if solution is not None and (choice := self._rounded(worker.master, solution)) is not None:
                found.append(choice)
        return found

    def _rounded(self, master: Master, solution: Solution) -> Choice | None:
        """The cheapest choice of the sections that the relaxation uses."""
        c = self.context
        used = [k for k, share in zip(master.columns, solution.shares, strict=False) if share > WHOLE]
        tuned = c.tuning.branching
        return recombine(used, c.need, c.demand, c.stocks, c.items, tuned.most_sections, self.deadline.left, tuned.rounding)

    def _push(self, nodes: Sequence[Node]) -> None:
        for node in nodes:
            if node.leaf:
                self._closed = min(self._closed, node.bound)
            else:
                self._count += 1
                heapq.heappush(self._open, replace(node, number=self._count))


@dataclass
class NodeTask:
    """One node to work on, with a pool and a clock of its own."""

    node: Node
    cost: float
    pool: Pool
    deadline: Deadline
    counting: Counting


class NodeWorker:
    """Works on one node at a time, in a master of its own."""

    def __init__(self, context: Context, engine: Engine, columns: Sequence[Column]) -> None:
        self.engine, self.tuned = engine, context.tuning.branching
        self.master = Master(context.rows, context.need, context.stocks, context.which, context.penalty, context.demand.homes)
        for i in context.which:
            # Cutting nothing from a board that must be cut: no fixing contradicts the columns at hand.
            self.master.add(column_of(Layout(i, (), ()), context.stocks, context.items))
        for column in columns:
            self.master.add(column)

    def work(self, task: NodeTask) -> Solution | None:
        """Raises the node's bound, and fixes what the bound decides; None where the fixings contradict each other, and of a
        leaf where its relaxation could not be solved."""
        node, cost, tuned = task.node, task.cost, self.tuned
        self._set(node)
        relaxed = None
        for quick in (True, False):
            relaxed = generate(
                self.master,
                self.engine,
                task.pool,
                task.deadline,
                node.fixed,
                quick,
                tuned.rounds,
                task.counting,
                inf if quick else cost,
                tuned.sharp if quick or not node.sharp else 0.0,
            )
            if relaxed is None:
                # Without an answer nothing is known of what lies below the node: its bound stands, and it is let be.
                node.leaf = self.master.lost
                return None
        assert relaxed is not None
        if task.deadline.over:
            # The node is worked on again, if ever.
            return relaxed.solution
        proof = prove(self.master, self.engine, relaxed.sharpest, node.fixed, task.counting)
        node.bound = max(node.bound, proof.bound)
        node.settled = node.sharp and relaxed.converged
        node.fixed = {**node.fixed, **proof.decided(cost)}
        return relaxed.solution

    def _set(self, node: Node) -> None:
        for i in self.master.which:
            state = node.fixed.get(i)
            self.master.set_use(i, 1.0 if state == 1 else 0.0, 0.0 if state == 0 else 1.0)
        for key in self.master.choices:
            home = node.homes.get(key)
            self.master.set_choice(*key, 1.0 if home == 1 else 0.0, 0.0 if home == 0 else 1.0)
        self.master.set_copies(node.most, node.least)


@dataclass(frozen=True)
class Splitting:
    """How a node is split, by the relaxation's solution: by a group's home, by a board's use, by copies from a board."""

    context: Context
    master: Master
    counting: Counting

    def split(self, node: Node, solution: Solution) -> tuple[Node, ...]:
        """Its children; or where nothing is left to split by, the node to be solved to the end, or as a leaf once it is."""
        home = self._open_home(solution)
        if home is not None:
            return replace(node, homes={**node.homes, home: 1}), replace(node, homes={**node.homes, home: 0})
        stock = self._open_stock(node, solution)
        if stock is not None:
            return replace(node, fixed={**node.fixed, stock: 1}), replace(node, fixed={**node.fixed, stock: 0})
        copies = self._open_copies(node, solution)
        if copies is not None:
            key, most = copies
            fewer = replace(node, most={**node.most, key: most})
            if most >= self.master.need[key[1]]:
                # More than is wanted is never needed from one board.
                return (fewer,)
            return fewer, replace(node, least={**node.least, key: most + 1}, fixed={**node.fixed, key[0]: 1})
        return (replace(node, sharp=True, leaf=node.settled),)

    @staticmethod
    def _open_home(solution: Solution) -> tuple[str, int] | None:
        """The group and stock whose choice is most in doubt."""
        doubt = [(abs(share - 0.5), key) for key, share in solution.chosen.items() if WHOLE < share < 1 - WHOLE]
        return min(doubt)[1] if doubt else None

    def _open_stock(self, node: Node, solution: Solution) -> int | None:
        """The stock of which it is most in doubt, and costs most, whether it is cut."""
        doubt = [
            (min(u, 1 - u) * float(self.context.stocks[i].cost + 1), -i)
            for i, u in self._use(solution).items()
            if WHOLE < u < 1 - WHOLE and i not in node.fixed
        ]
        return -max(doubt)[1] if doubt else None

    def _open_copies(self, node: Node, solution: Solution) -> tuple[tuple[int, int], int] | None:
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
                most = min(int(mean + WHOLE), int(self.master.need[r]))
                if node.most.get((i, r), inf) <= most:
                    # Known already, but too much to count.
                    continue
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
