"""The linear programme of the master problem, where its solver loses its way in rounding errors."""

from __future__ import annotations

from typing import Any

import pytest
from bench.families import plain
from ortools.linear_solver import pywraplp

from yieldopt.planning.context import prepare
from yieldopt.planning.first import first_columns
from yieldopt.planning.master import COURSES, Master
from yieldopt.planning.sections import Shape
from yieldopt.planning.serial import Serial


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
