"""Which parts can't all come from the boards that there are, proven: the fewest parts, the fewest copies, the defects that
make it so.

A choice of layouts that gives every part wanted costs no more than all stocks together. Where missing parts are made far
dearer than that, a bound above it proves that no such choice exists.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Column, Pool
from yieldopt.planning.master.programme import Master
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.reasons.conflicts import smallest_conflict
from yieldopt.planning.search.generate import Counting, generate, prove
from yieldopt.sizes.sizing import stave_width_needed


@dataclass(frozen=True, slots=True)
class Crowd:
    """Rows, with how many units of each, that can't all come from the stocks; nothing of it can be left out, as far as the
    time went."""

    wanted: tuple[tuple[int, float], ...]
    # Stocks that can give any of these rows.
    stocks: tuple[int, ...]


def crowd(context: Context, columns: Iterable[Column], missing: Sequence[int], deadline: Deadline) -> Crowd | None:
    """The smallest conflict among the parts of a component whose rows `missing` are short; None where none is proven.
    `columns` are layouts known already."""
    if context.large:
        return None
    proof, most = _Proof(context, list(columns), deadline), context.tuning.crowding.most_tests
    rows = [r for r, n in enumerate(context.need) if n > 0]
    first = sorted(rows, key=lambda r: (r not in missing, r))
    if proof.short({r: context.need[r] for r in missing}):
        first = [r for r in first if r in missing]
    found = smallest_conflict(first, lambda some: proof.short({r: context.need[r] for r in some}), most)
    if not found:
        return None
    wanted = {r: context.need[r] for r in sorted(found)}
    for r in wanted:
        wanted[r] = proof.fewest(r, wanted)

    def able(stock: int) -> bool:
        return any(r in wanted for k in context.engine.loose[stock].cells.items for r, _ in context.items[k].gives)

    return Crowd(tuple(wanted.items()), tuple(i for i in context.which if able(i)))


class _Proof:
    def __init__(self, context: Context, columns: list[Column], deadline: Deadline) -> None:
        self.context, self.columns, self.deadline = context, columns, deadline
        self.whole = sum(float(context.stocks[i].cost + context.stocks[i].idle_credit) for i in context.which)

    def short(self, wanted: dict[int, float]) -> bool:
        """True where it is proven that not all of this can be supplied; False also where the time is up."""
        c = self.context
        if not wanted or self.deadline.over:
            return False
        group = next((row.board_group for r, row in enumerate(c.rows) if r in wanted and row.board_group), None)
        if group is None:
            return self._short(wanted, None)
        # Whichever board the group were to come from.
        return all(self._short(wanted, (group, i)) for i in c.demand.homes.get(group, ()) if i in c.which)

    def _short(self, wanted: dict[int, float], home: tuple[str, int] | None) -> bool:
        c, tuned = self.context, self.context.tuning.crowding
        need = [wanted.get(r, 0.0) for r in range(len(c.rows))]
        penalty = tuned.dear * c.penalty
        master = Master(c.rows, need, c.stocks, c.which, penalty, c.demand.homes)
        for column in self.columns:
            if any(r in wanted for r, _ in column.gives):
                master.add(column)
        counting = Counting(master, tuned.most_budgets, c.tuning.generating)
        pool, enough = Pool(len(c.stocks)), 2 * self.whole + 1.0
        if home is not None:
            if home not in master.choices:
                return True
            master.set_choice(*home, 1.0, 1.0)
            counting.group(home[1], home[0])
        for _ in range(tuned.turns):
            relaxed = generate(master, c.engine, pool, self.deadline, {}, False, tuned.rounds, counting, enough)
            if relaxed is None or self.deadline.over or relaxed.solution.unplaced < 1e-6:
                return False
            if relaxed.converged and prove(master, c.engine, relaxed.sharpest, {}, counting).bound > self.whole + 1.0:
                return True
        return False

    def fewest(self, r: int, wanted: dict[int, float]) -> float:
        """How many units of row `r` are already too many beside the other rows wanted."""
        c = self.context
        row = c.rows[r]
        if row.one_board or row.kind not in ("piece", "pair", "stave"):
            return wanted[r]
        unit = 1.0 if row.kind != "stave" else float(stave_width_needed(c.job.parts[row.parts[0]], c.job.shop))
        low, high = 0, round(wanted[r] / unit)
        while high - low > 1:
            middle = (low + high) // 2
            if self.short({**wanted, r: middle * unit}):
                high = middle
            else:
                low = middle
        return high * unit
