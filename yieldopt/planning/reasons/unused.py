"""Why a board is not cut, in one line: it may not be, it can't give a part, or what it could give costs less elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress

from yieldopt.ground.deadline import Deadline
from yieldopt.planning.layouts.columns import Column, Pool
from yieldopt.planning.master.programme import Master
from yieldopt.planning.pricing.context import Context
from yieldopt.planning.pricing.engine import OutOfTime
from yieldopt.planning.reasons.nowhere import Obstacle, any_place, footprint, listed, obstacle
from yieldopt.planning.search.generate import Counting, generate
from yieldopt.planning.wood.stock import Stock
from yieldopt.rules.boards import hindrance, may_come_from
from yieldopt.wood.lumber import Board, Job, Part

# Said of a board that the time did not reach.
NOT_LOOKED_AT = "the time was up before it was looked at"


def why_unused(
    whole: Context,
    components: Sequence[tuple[Context, Iterable[Column]]],
    cut: frozenset[str],
    missing: frozenset[str],
    deadline: Deadline,
) -> dict[str, str]:
    """The reason for every board of the job that is not cut, in the job's order. `components` come with the layouts known
    of each; `cut` are the boards cut, `missing` the parts without a place. Boards are priced once more until `deadline`."""
    saved: dict[int, float] = {}
    for c, columns in components:
        short = any(c.job.parts[p].name in missing for r, row in enumerate(c.rows) if c.need[r] > 0 for p in row.parts)
        if not short:
            saved.update(_saved(c, columns, cut, deadline))
    stock_of = {s.name: (i, s) for i, s in enumerate(whole.stocks)}
    reasons = {}
    for board in whole.job.boards:
        if board.name in cut:
            continue
        if board.name not in stock_of:
            reasons[board.name] = "to be left alone" if board.name in whole.job.leave else "nothing of it is left to cut"
            continue
        i, stock = stock_of[board.name]
        barred = _barred(whole.job, board)
        if barred is None and deadline.over and i not in saved:
            reasons[board.name] = NOT_LOOKED_AT
            continue
        reasons[board.name] = (
            barred
            or _gives_nothing(whole, i, stock)
            or _gives_nothing_missing(whole, i, stock, missing)
            or _worth_less(stock, saved.get(i), bool(missing), whole.tuning.unused.as_good)
        )
    return reasons


def _saved(c: Context, columns: Iterable[Column], cut: frozenset[str], deadline: Deadline) -> dict[int, float]:
    """What the wood of each stock that is not cut would save on the others, at the prices of the relaxation over all
    layouts known. Each stock may be used a hair more than once, so that a part is worth what it costs on the boards cut,
    not what the next board would ask for it."""
    left = [i for i in c.which if c.stocks[i].name not in cut]
    if not left:
        return {}
    master = Master(c.rows, c.need, c.stocks, c.which, c.penalty, c.demand.homes)
    for i in c.which:
        master.set_use(i, 0.0, 1.0 + c.tuning.unused.hair)
    pool = Pool(len(c.stocks))
    for k in columns:
        pool.add(k)
        master.add(k)
    counting = Counting(master, c.tuning.unused.most_budgets, c.tuning.generating)
    relaxed = None if c.large else generate(master, c.engine, pool, deadline, {}, True, c.tuning.unused.rounds, counting)
    solved = relaxed.solution if relaxed is not None else master.solve()
    if solved is None:
        return {}
    pi, grant = dict(zip(c.which, solved.pi, strict=True)), dict(zip(c.which, solved.grant, strict=True))
    if not c.large:
        with suppress(OutOfTime):
            for p in c.engine.price(left, [pi[i] for i in left], [counting.of(i) for i in left], True, deadline):
                pool.add(p.column)
    saved: dict[int, float] = {}
    for i in left:
        for k in pool.of(i):
            worth = sum(float(pi[i][r]) * a for r, a in k.gives) + float(grant[i])
            saved[i] = max(saved.get(i, 0.0), worth + float(c.stocks[i].cost) - k.cost)
    return saved


def _barred(job: Job, board: Board) -> str | None:
    """What the job itself says against the board."""
    of_species = [p for p in job.parts if p.species == board.species]
    if not of_species:
        return f"no part is of {board.species}"
    if any(may_come_from(p, board) for p in of_species):
        return None
    from_others = [p for p in of_species if hindrance(p, board) == "from"]
    if len(from_others) == len(of_species):
        return "every part of its species is to come from other boards"
    wanted = listed(sorted({p.sawn for p in of_species if p.sawn not in ("any", board.sawn)}))
    how = f"it is {board.sawn} sawn" if board.sawn else "how it is sawn is not known"
    return f"{how}; the parts of its species are to be {wanted}" + (" or to come from other boards" if from_others else "")


def _gives_nothing(c: Context, i: int, stock: Stock) -> str | None:
    """The part that comes nearest to having a place, and what keeps it off."""
    if any_place(c.engine.loose[i].cells):
        return None
    return _nearest_miss(c, stock, [p for p in c.job.parts if may_come_from(p, stock.board)], "takes no part")


def _gives_nothing_missing(c: Context, i: int, stock: Stock, missing: frozenset[str]) -> str | None:
    """With parts missing: why none of them comes from here."""
    lacking = [p for p in c.job.parts if p.name in missing and may_come_from(p, stock.board)]
    given = {c.job.parts[q.part].name for k in c.engine.loose[i].cells.items for q in c.items[k].pieces}
    if not lacking or any(p.name in given for p in lacking):
        return None
    return _nearest_miss(c, stock, lacking, "takes none of the parts missing")


def _nearest_miss(c: Context, stock: Stock, parts: Sequence[Part], said: str) -> str:
    smallest = sorted(parts, key=lambda p: (p.thickness, p.length * p.width))[: c.tuning.unused.most_parts]
    found: list[tuple[Part, Obstacle]] = [(p, o) for p in smallest if (o := obstacle(c, p, stock)) is not None]
    if not found:
        return f"{said} by a hair: its places are a sixteenth short"
    part, why = min(found, key=lambda f: (-f[1].stage, len(f[1].defects)))
    only = "" if len(parts) == 1 else f"; {part.name} ({footprint(part, c.job)}) comes nearest"
    return f"{said}{only}, but it is {why}" if str(why).startswith("too ") else f"{said}{only}: {why}"


def _worth_less(stock: Stock, saved: float | None, missing: bool, as_good: float) -> str:
    """What the board costs beside what its wood would save on the boards cut; without a price, its wood counts."""
    cost = float(stock.cost)
    if saved is None:
        return "no choice of boards was found that places more with it" if missing else NOT_LOOKED_AT
    if saved >= cost * (1 - as_good):
        return "as good as the boards cut, but the plan does without it" + ("" if stock.wood else f" ({cost:.2f})")
    if stock.wood:
        return "more of its wood would be used up than it saves on the boards cut"
    return f"costs {cost:.2f}; its wood would save about {saved:.2f} on the boards cut"
