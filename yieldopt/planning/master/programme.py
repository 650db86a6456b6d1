"""The master problem: which layouts to use so that every row is supplied at least cost; its linear relaxation.

No stock can use more of a row than is wanted: `Master` adds, where the relaxation breaks it, that what a stock supplies is
at most the need times the share of the stock in use. Such a row only changes what an item is worth on that stock.

What it costs to go short of a row can begin low, near what a part costs, and is raised while the relaxation still goes
short: prices as high as the penalty would at first ask for layouts that no plan wants.

Rows that must come whole from one board (`Row.one_board`) have a copy a stock and a choice variable a group and stock:
what a stock supplies counts only as far as the group has chosen it. Unsupplied units cost more than all boards together.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from ortools.linear_solver import pywraplp

from yieldopt.planning.demand.rows import Row
from yieldopt.planning.layouts.columns import Column
from yieldopt.planning.master.linear import LinearDemand
from yieldopt.planning.wood.stock import Stock

Floats = npt.NDArray[np.float64]

# How GLOP goes about it, and the other courses that it is sent on, in order, where it ends in rounding errors: from another
# start a course usually arrives.
USUAL = "use_dual_simplex: false use_preprocessing: true"
COURSES = (
    "use_dual_simplex: true use_preprocessing: true",
    "use_dual_simplex: false use_preprocessing: false",
    "use_dual_simplex: true use_preprocessing: false perturb_costs_in_dual_simplex: true",
)


@dataclass(frozen=True)
class Solution:
    """An optimum of the restricted linear relaxation."""

    value: float
    # Worth of one unit of each row, one array a stock (they differ only in rows that must come from one board).
    pi: tuple[Floats, ...]
    # What each stock may add to a layout's worth, from rows that cap what it supplies.
    grant: Floats
    # Worth of each stock's single use, zero or more.
    sigma: Floats
    # Share of each column in use, columns in the order they were added.
    shares: Floats
    # Share of each group's choice: (group, stock) -> 0..1.
    chosen: Mapping[tuple[str, int], float]
    # What the Lagrangian bound begins with: needs at their worth, and the least that the groups' choices add.
    wanted: float
    # Finished parts without a place, fractional.
    unplaced: float


class Master:
    """Restricted linear master over a set of stocks, for rows with `need`; columns can be added, stocks fixed."""

    def __init__(
        self,
        rows: Sequence[Row],
        need: Sequence[float],
        stocks: Sequence[Stock],
        which: Iterable[int],
        penalty: float,
        homes: Mapping[str, Sequence[int]],
        short: Sequence[float] | None = None,
    ) -> None:
        """`short`: what a missing unit of each row costs at first; None: the penalty."""
        self.rows, self.which, self.penalty = rows, list(which), penalty
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        inf = self.solver.infinity()
        self.objective = self.solver.Objective()
        self.objective.SetMinimization()
        # Whether the last solution ended without an answer: that proves nothing.
        self.lost = False
        self.columns: list[Column] = []
        self.variables: list[pywraplp.Variable] = []
        self.caps: dict[tuple[int, int], pywraplp.Constraint] = {}
        self.capped: dict[int, list[int]] = {}
        # Least copies that a stock supplies, where branching asks for it; what is short of them costs as any missing part.
        self.copies: dict[tuple[int, int], pywraplp.Constraint] = {}
        self._most: Mapping[tuple[int, int], int] = {}
        self._least: Mapping[tuple[int, int], int] = {}
        self.at: dict[int, list[int]] = {i: [] for i in self.which}
        self.use = {i: self.solver.Constraint(-1.0, inf) for i in self.which}
        # What a missing unit of each row costs, and units missing at the last solution.
        self.short = [min(penalty * float(r.finished), short[k] if short else inf) for k, r in enumerate(rows)]
        self.missing = [0.0] * len(rows)
        self.demand = LinearDemand(self.solver, rows, need, self.which, self.short, homes, penalty, idle=True)
        self.need = self.demand.need

    def add(self, column: Column) -> None:
        v = self.solver.NumVar(0, self.solver.infinity(), "")
        self.objective.SetCoefficient(v, column.cost)
        self.use[column.stock].SetCoefficient(v, -1.0)
        for r, units in column.gives:
            self.demand.supply(v, column.stock, r, units)
        for r in self.capped.get(column.stock, ()):
            self.caps[r, column.stock].SetCoefficient(v, self._cap(column.stock, r) - dict(column.gives).get(r, 0.0))
        for (i, r), c in self.copies.items():
            if i == column.stock:
                c.SetCoefficient(v, dict(column.gives).get(r, 0.0))
        self.at[column.stock].append(len(self.columns))
        self.columns.append(column)
        self.variables.append(v)

    def set_use(self, stock: int, low: float, high: float) -> None:
        """Bounds on how often a stock is cut: (0, 1) free, (1, 1) must, (0, 0) must not."""
        self.use[stock].SetBounds(-high, -low)

    def set_choice(self, group: str, stock: int, low: float, high: float) -> None:
        self.demand.choice[group, stock].SetBounds(low, high)

    @property
    def choices(self) -> Collection[tuple[str, int]]:
        """(group, stock) that may be chosen."""
        return self.demand.choice.keys()

    def set_copies(self, most: Mapping[tuple[int, int], int], least: Mapping[tuple[int, int], int]) -> None:
        """Bounds on the copies of a row that a stock supplies, (stock, row) -> copies; those of before are taken out.
        Columns at hand that exceed them are shut out."""
        changed = {key for key in self._most.keys() | most.keys() if self._most.get(key) != most.get(key)}
        self._most, self._least = most, least
        for i in {i for i, _ in changed}:
            for k in self.at[i]:
                over = any(units > most.get((i, r), units) + 1e-9 for r, units in self.columns[k].gives)
                self.variables[k].SetUb(0.0 if over else self.solver.infinity())
        for i, r in changed:
            if (r, i) in self.caps:
                self._fill_cap(r, i)
        for i, r in least:
            if (i, r) not in self.copies:
                c = self.copies[i, r] = self.solver.Constraint(0.0, self.solver.infinity())
                short = self.solver.NumVar(0, self.solver.infinity(), "")
                self.objective.SetCoefficient(short, self.penalty * float(self.rows[r].finished))
                c.SetCoefficient(short, 1.0)
                for k in self.at[i]:
                    c.SetCoefficient(self.variables[k], dict(self.columns[k].gives).get(r, 0.0))
        for key, c in self.copies.items():
            c.SetLb(float(least.get(key, 0)))

    def _cap(self, stock: int, row: int) -> float:
        return self._most.get((stock, row), self.need[row])

    def _fill_cap(self, row: int, stock: int) -> None:
        for k in self.at[stock]:
            cap = self._cap(stock, row) - dict(self.columns[k].gives).get(row, 0.0)
            self.caps[row, stock].SetCoefficient(self.variables[k], cap)

    def solve(self) -> Solution | None:
        """The optimum; None where the fixings contradict each other, or where it was `lost` in rounding errors."""
        while self._solved():
            if not self._add_caps():
                return self._solution()
        return None

    def _solved(self) -> bool:
        """Solve the linear programme as it stands; where the simplex method loses its way in rounding, by another course."""
        status = self.solver.Solve()
        for course in COURSES:
            if status != pywraplp.Solver.ABNORMAL:
                break
            self.solver.SetSolverSpecificParametersAsString(course)
            status = self.solver.Solve()
            self.solver.SetSolverSpecificParametersAsString(USUAL)
        self.lost = status not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.INFEASIBLE)
        return bool(status == pywraplp.Solver.OPTIMAL)

    def raise_short(self, factor: float) -> bool:
        """Raise what it costs to go short of the rows that the last solution goes short of; True where any was raised."""
        raised = False
        for r, row in enumerate(self.rows):
            penalty = self.penalty * float(row.finished)
            if self.missing[r] > 1e-9 and self.short[r] < penalty:
                self.short[r] = min(penalty, factor * self.short[r])
                self.objective.SetCoefficient(self.demand.short[r], self.short[r])
                raised = True
        return raised

    def _add_caps(self) -> bool:
        """Cap what the relaxation takes from a stock beyond the need; True where a cap was added."""
        broken: list[tuple[int, int]] = []
        for i in self.which:
            used: dict[int, float] = {}
            share = 0.0
            for k in self.at[i]:
                x = self.variables[k].solution_value()
                if x > 1e-9:
                    share += x
                    for r, units in self.columns[k].gives:
                        used[r] = used.get(r, 0.0) + x * units
            broken += [
                (r, i)
                for r, u in used.items()
                if u > self._cap(i, r) * share + 1e-7 * max(1.0, self.need[r]) and (r, i) not in self.caps
            ]
        for r, i in broken:
            self.caps[r, i] = self.solver.Constraint(0.0, self.solver.infinity())
            self._fill_cap(r, i)
            self.capped.setdefault(i, []).append(r)
        return bool(broken)

    def _solution(self) -> Solution:
        base = np.zeros(len(self.rows))
        for r, worth in self.demand.worth_anywhere().items():
            base[r] = worth
        local = self.demand.worth_on()
        pi: list[Floats] = []
        wanted = 0.0
        grant = np.zeros(len(self.which))
        for i in self.which:
            own = base.copy()
            for (r, stock), worth in local.items():
                if stock == i:
                    own[r] = worth
            for r in self.capped.get(i, ()):
                rho = max(0.0, self.caps[r, i].dual_value())
                own[r] -= rho
                grant[len(pi)] += rho * self._cap(i, r)
            for r in [r for k, r in self._least if k == i]:
                tau = max(0.0, self.copies[i, r].dual_value())
                own[r] += tau
                wanted += tau * self._least[i, r]
            pi.append(own)
        sigma = np.array([self.use[i].dual_value() for i in self.which])
        groups = {g: max(0.0, float(c.dual_value())) for g, c in self.demand.groups.items()}
        wanted += float(base @ np.array(self.need)) + sum(groups.values()) + self._choices(groups, local)
        shares = np.array([v.solution_value() for v in self.variables])
        chosen = {k: x.solution_value() for k, x in self.demand.choice.items()}
        for r, u in self.demand.short.items():
            self.missing[r] = u.solution_value()
        unplaced = sum(u * float(r.finished) for u, r in zip(self.missing, self.rows, strict=True))
        return Solution(
            self.objective.Value(),
            tuple(pi),
            grant,
            sigma,
            shares,
            chosen,
            wanted,
            unplaced,
        )

    def _choices(self, worth: Mapping[str, float], local: Mapping[tuple[int, int], float]) -> float:
        """Least that the groups' choices of a stock can add to the objective at these prices, each within its bounds."""
        d = self.demand
        total = sum(min(0.0, float(self.objective.GetCoefficient(x)) - worth[g]) for g, x in d.nowhere.items())
        for (group, i), x in d.choice.items():
            here = sum(w * self.need[r] for (r, stock), w in local.items() if stock == i and self.rows[r].group == group)
            cost = here - worth[group]
            total += min(cost * float(x.lb()), cost * float(x.ub()))
        return total
