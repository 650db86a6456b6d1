"""The rows of demand in a linear programme, worded once for every relaxation: supplied, or short at a cost.

Rows that must come whole from one board (`Row.one_board`) have a copy a stock, and a group a choice of stock: what a stock
supplies of them counts only as far as the group has chosen it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ortools.linear_solver import pywraplp

from yieldopt.planning.demand.rows import Row


class LinearDemand:
    """Constraints and variables of the demand in `solver`."""

    def __init__(
        self,
        solver: pywraplp.Solver,
        rows: Sequence[Row],
        need: Sequence[float],
        stocks: Sequence[int],
        short: Sequence[float],
        homes: Mapping[str, Sequence[int]] | None = None,
        nowhere: float | None = None,
        idle: bool = False,
    ) -> None:
        """`short` is what a missing unit of each row costs; it has no limit of its own, which would let a unit be worth more
        than going short of it costs. `homes` are the stocks that a group may choose, None: any; `nowhere` is what each
        finished part costs of a group that chooses none, None: it must choose. `idle`: rows of which nothing
        is wanted are there too; no optimum changes, but which of several equal ones the simplex method comes to."""
        self.rows, self.need, self._solver, self._objective = rows, list(need), solver, solver.Objective()
        inf = solver.infinity()
        # Units short, by row; rows supplied by any stock; rows of a group, by (row, stock).
        self.short: dict[int, pywraplp.Variable] = {}
        self.cover: dict[int, pywraplp.Constraint] = {}
        self.local: dict[tuple[int, int], pywraplp.Constraint] = {}
        for r in range(len(rows)) if idle else self.wanted:
            u = self.short[r] = solver.NumVar(0, inf, "")
            self._objective.SetCoefficient(u, short[r])
            if rows[r].board_group is not None and need[r] > 0:
                for i in stocks:
                    # A row short on the chosen board is short for the job.
                    self.local[r, i] = solver.Constraint(0.0, inf)
                    self.local[r, i].SetCoefficient(u, 1.0)
            else:
                self.cover[r] = solver.Constraint(float(need[r]), inf)
                self.cover[r].SetCoefficient(u, 1.0)
        # A group's choice of a stock, the constraint that it makes one, and what it costs to make none.
        self.choice: dict[tuple[str, int], pywraplp.Variable] = {}
        self.groups: dict[str, pywraplp.Constraint] = {}
        self.nowhere: dict[str, pywraplp.Variable] = {}
        for r in self.wanted:
            group = rows[r].board_group
            if group is not None:
                if group not in self.groups:
                    self._choose(group, [i for i in stocks if homes is None or i in homes.get(group, ())], nowhere)
                for i in stocks:
                    if (group, i) in self.choice:
                        self.local[r, i].SetCoefficient(self.choice[group, i], -float(need[r]))

    @property
    def wanted(self) -> list[int]:
        """Rows of which something is wanted."""
        return [r for r, n in enumerate(self.need) if n > 0]

    def _choose(self, group: str, stocks: Sequence[int], nowhere: float | None) -> None:
        one = self.groups[group] = self._solver.Constraint(1.0, self._solver.infinity())
        if nowhere is not None:
            none = self.nowhere[group] = self._solver.NumVar(0, 1, "")
            whole = sum(float(q.finished) * self.need[k] for k, q in enumerate(self.rows) if q.group == group)
            self._objective.SetCoefficient(none, nowhere * whole)
            one.SetCoefficient(none, 1.0)
        for i in stocks:
            x = self.choice[group, i] = self._solver.NumVar(0, 1, "")
            one.SetCoefficient(x, 1.0)

    def supply(self, source: pywraplp.Variable, stock: int, row: int, units: float) -> None:
        """The source gives so many units of a row from a stock."""
        c = self.cover.get(row) or self.local.get((row, stock))
        if c is not None:
            c.SetCoefficient(source, units)

    def worth_anywhere(self) -> dict[int, float]:
        """Worth of a unit of each row that may come from any stock, zero or more, at the last solution."""
        return {r: max(0.0, c.dual_value()) for r, c in self.cover.items()}

    def worth_on(self) -> dict[tuple[int, int], float]:
        """(row, stock) -> the same of rows of a group."""
        return {key: max(0.0, c.dual_value()) for key, c in self.local.items()}
