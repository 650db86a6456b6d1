"""Diving: fix the layouts that the relaxation likes best, price again for what is left, until every board is decided."""

from __future__ import annotations

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Column, Pool
from yieldopt.planning.master.programme import Master
from yieldopt.planning.master.restrict import Choice, evaluate
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.search.generate import Counting, generate


def dive(context: Context, pool: Pool, deadline: Deadline, rounds: int | None = None) -> Choice | None:
    """A whole choice, or None if time ran out on the way; `rounds` of pricing a turn, None: as tuned. Without any it is made of
    layouts known already, in a tenth of the time."""
    tuned = context.tuning.diving
    rounds = tuned.rounds if rounds is None else rounds
    fixed: list[Column] = []
    open_stocks = [i for i in context.which if context.engine.full[i].cells.items]
    while open_stocks and not deadline.over:
        short = evaluate(fixed, context.need, context.demand).missing
        if not short:
            break
        need = [short.get(r, 0.0) for r in range(len(context.rows))]
        master = Master(context.rows, need, context.stocks, open_stocks, context.penalty, context.demand.homes, context.short)
        for i in open_stocks:
            for column in list(pool.of(i))[-tuned.columns :]:
                if any(need[r] > 1e-9 for r, _ in column.gives):
                    master.add(column)
        counting = Counting(master, 1, context.tuning.generating)
        relaxed = generate(master, context.engine, pool, deadline, {}, True, rounds, counting)
        if relaxed is None:
            return None
        ranked = sorted(
            ((share, k) for k, share in enumerate(relaxed.solution.shares) if share > 1e-6),
            key=lambda s: (-s[0] * _kept(master.columns[s[1]], need), s[1]),
        )
        least = max(1, round(tuned.portion * len({master.columns[k].stock for _, k in ranked})))
        taken: set[int] = set()
        for share, k in ranked:
            column = master.columns[k]
            if column.stock in taken or (len(taken) >= least and share < tuned.sure):
                continue
            # What earlier choices of this turn have supplied is no longer needed.
            if any(need[r] > 1e-9 for r, _ in column.gives):
                fixed.append(column)
                taken.add(column.stock)
                for r, units in column.gives:
                    need[r] = max(0.0, need[r] - units)
        if not taken:
            break
        open_stocks = [i for i in open_stocks if i not in taken]
    return evaluate(fixed, context.need, context.demand)


def _kept(column: Column, need: list[float]) -> float:
    """Share of what the column gives that is still needed."""
    total = sum(units for _, units in column.gives)
    return sum(min(units, need[r]) for r, units in column.gives) / total if total else 0.0
