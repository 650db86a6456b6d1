"""The linear programme of the master problem, where its solver loses its way in rounding errors."""

from __future__ import annotations

from typing import Any

import pytest
from bench.families import plain
from ortools.linear_solver import pywraplp

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Pool
from yieldopt.planning.master.programme import COURSES, Master
from yieldopt.planning.pricing.context import prepare
from yieldopt.planning.pricing.sections import Shape
from yieldopt.planning.search.branch import Branching
from yieldopt.planning.search.first import first_columns
from yieldopt.planning.search.generate import Counting, generate, prove
from yieldopt.workers.serial import Serial


class Lost:
    """A solver whose first so many solutions end in rounding errors."""

    def __init__(self, solver: Any, times: int) -> None:
        self._solver, self._times = solver, times

    def __getattr__(self, name: str) -> Any:
        return getattr(self._solver, name)

    def Solve(self) -> int:
        self._times -= 1
        return pywraplp.Solver.ABNORMAL if self._times >= 0 else int(self._solver.Solve())


def master(times: int) -> Master:
    c = prepare(plain(3, 2, 3, 6), Serial(), Shape(), Shape())
    made = Master(c.rows, c.need, c.stocks, c.which, c.penalty, c.demand.homes, c.short)
    for column in first_columns(c):
        made.add(column)
    made.solver = Lost(made.solver, times)
    return made


@pytest.mark.parametrize("times", range(1, len(COURSES) + 1))
def test_rounding_errors_are_no_contradiction(times: int) -> None:
    """They ended a component's search without a bound, as contradicting branches do."""
    usual, other = master(0).solve(), master(times).solve()
    assert usual is not None
    assert other is not None
    assert other.value == pytest.approx(usual.value, rel=1e-9)


def test_branches_that_contradict_each_other_have_no_solution() -> None:
    contradicting = master(0)
    for i in contradicting.which:
        contradicting.set_use(i, 1, 0)
    assert contradicting.solve() is None


def test_no_answer_is_no_proof() -> None:
    """A node whose relaxation can't be solved keeps its bound, as a leaf; it isn't taken for one without a solution."""
    assert master(0).solve() is not None
    lost = master(1 + len(COURSES))
    assert lost.solve() is None
    assert lost.lost
    c = prepare(plain(3, 2, 3, 6), Serial(), Shape(), Shape())
    deadline, pool = Deadline(60), Pool(len(c.stocks))
    root = Master(c.rows, c.need, c.stocks, c.which, c.penalty, c.demand.homes)
    counting = Counting(root, 1)
    relaxed = generate(root, c.engine, pool, deadline, {}, False, 50, counting)
    assert relaxed is not None
    proof = prove(root, c.engine, relaxed.sharpest, {}, counting)
    tree = Branching(c, root, pool, counting, deadline, relaxed.solution, proof)
    try:
        for worker in tree._workers:
            worker.master.solver = Lost(worker.master.solver, 1000)
        assert not tree.done
        while not tree.done:
            tree.step(1e6)
        assert tree.bound == pytest.approx(proof.bound)
    finally:
        tree.close()
