"""Which stave goes into which glued-up piece."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ortools.sat.python import cp_model

from yieldopt.planning.demand.items import Item
from yieldopt.planning.demand.ranges import whole_numbers
from yieldopt.planning.demand.rows import Row
from yieldopt.planning.layouts.columns import Column
from yieldopt.sizes.sizing import stave_width_needed
from yieldopt.wood.lumber import Job

# Where staves can't be shared out, this share of the whole width is asked for beyond it, a copy that is short.
SHARE_MORE = 0.35
# Glue-ups are small; this many seconds is far more than the model takes.
MOST_SECONDS = 2.0
# Sums of widths gone through for one copy; widths without a common step make as many sums as there are ways to take some.
MOST_SUMS = 20_000


def assign(nets: Sequence[Fraction], whole: Fraction, copies: int) -> list[list[int]]:
    """Indices of staves for as many of the `copies` as can be made: net widths of each sum to at least `whole`.

    Fewest staves first, then least width over; staves not named are left over.
    """
    widths, wanted = whole_numbers(nets, whole)
    copies = min(copies, len(nets), sum(widths) // wanted if wanted else 0)
    if not copies:
        return []
    model = cp_model.CpModel()
    made = [model.new_bool_var("") for _ in range(copies)]
    put = [[model.new_bool_var("") for _ in range(copies)] for _ in nets]
    for row in put:
        model.add_at_most_one(row)
    for c in range(copies):
        model.add(sum(w * row[c] for w, row in zip(widths, put, strict=True)) >= wanted * made[c])
        if c:
            model.add_implication(made[c], made[c - 1])
    used = sum(w * v for w, row in zip(widths, put, strict=True) for v in row)
    model.maximize(sum(made) * (2 * sum(widths) + 1) - used)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    # Ctrl-C is ours: it ends the search with the best plan so far.
    solver.parameters.catch_sigint_signal = False
    solver.parameters.max_time_in_seconds = 10 * MOST_SECONDS
    solver.parameters.max_deterministic_time = MOST_SECONDS
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return []
    return [
        [k for k in range(len(nets)) if solver.boolean_value(put[k][c])] for c in range(copies) if solver.boolean_value(made[c])
    ]


def makes(nets: Sequence[Fraction], whole: Fraction, copies: int) -> int:
    """How many of the `copies` the staves can make, as `assign` finds them; quickly where filling one copy after another
    with the least width over makes all that the widths together allow."""
    widths, wanted = whole_numbers(nets, whole)
    most = min(copies, len(nets), sum(widths) // wanted if wanted else 0)
    left = sorted(widths, reverse=True)
    for _ in range(most):
        used = _least_over(left, wanted)
        if used is None:
            return len(assign(nets, whole, copies))
        for w in used:
            left.remove(w)
    return most


def _least_over(widths: Sequence[int], wanted: int) -> list[int] | None:
    """Some of the widths whose sum is at least `wanted` and as little over as can be; None where all are too little or
    the sums too many."""
    # Each sum below `wanted` with the widths that make it; a sum that reaches it is a candidate.
    sums: dict[int, list[int]] = {0: []}
    best: tuple[int, list[int]] | None = None
    for w in widths:
        if len(sums) > MOST_SUMS:
            return None
        for total, used in list(sums.items()):
            if total + w >= wanted:
                if best is None or total + w < best[0]:
                    best = (total + w, [*used, w])
            else:
                sums.setdefault(total + w, [*used, w])
    return best[1] if best is not None else None


class Glueups:
    """Says whether the staves of some columns make all the copies of a part; remembers what it worked out."""

    def __init__(self, job: Job, rows: Sequence[Row], items: Sequence[Item]) -> None:
        self.job, self.rows, self.items = job, rows, items
        self._known: dict[tuple[int, tuple[Fraction, ...]], float] = {}

    def unmade(self, r: int, columns: Sequence[Column]) -> float:
        """Net inches to ask for beyond what the columns give of row `r`, where their widths can't be shared out."""
        row = self.rows[r]
        part = self.job.parts[row.parts[0]]
        whole = stave_width_needed(part, self.job.shop)
        copies = int(row.need / whole)
        nets: list[Fraction] = []
        for c in columns:
            for p in c.layout.placed:
                item = self.items[p.item]
                if any(k == r for k, _ in item.gives):
                    for q in item.pieces:
                        nets.append(q.width - 2 * self.job.shop.allowances.edge if q.stave else whole)
        key = (r, tuple(sorted(nets)))
        if key not in self._known:
            made = copies if copies == 1 else makes(key[1], whole, copies)
            self._known[key] = float(whole) * SHARE_MORE * (copies - made)
        return self._known[key]
