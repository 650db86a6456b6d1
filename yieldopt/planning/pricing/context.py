"""Everything the searches share about one job: rows, items, stocks, grid, engine."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.planning.demand.items import Item, build_items
from yieldopt.planning.demand.ranges import counted
from yieldopt.planning.demand.rows import Row, build_rows
from yieldopt.planning.layouts.staves import Glueups
from yieldopt.planning.master.restrict import Demand
from yieldopt.planning.pricing.crew import Crew, Elsewhere, Here, Recipe, shares_memory, workers_of
from yieldopt.planning.pricing.engine import Engine
from yieldopt.planning.pricing.sections import SectionPricer, Shape
from yieldopt.planning.tuning import USUAL, Tuning
from yieldopt.planning.wood.cells import Cells, make_cells
from yieldopt.planning.wood.components import components
from yieldopt.planning.wood.fits import fits, in_units
from yieldopt.planning.wood.grid import Grid, coarser, make_grid
from yieldopt.planning.wood.shortage import at_first
from yieldopt.planning.wood.stock import Stock, whole_boards
from yieldopt.rules.boards import may_come_from
from yieldopt.wood.lumber import Job


@dataclass(frozen=True)
class Context:
    """One job made ready for planning, or one component of it: then only `which` stocks and the needs of its rows."""

    job: Job
    rows: tuple[Row, ...]
    items: tuple[Item, ...]
    stocks: tuple[Stock, ...]
    grid: Grid
    engine: Engine
    demand: Demand
    # Units wanted of each row, and the stocks that may give them.
    need: Sequence[float]
    which: Sequence[int]
    # Money that missing one finished part costs in the search: more than all stocks together.
    penalty: float
    # What a missing unit of each row costs its relaxations at first (see `Master`): about what it costs to make.
    short: Sequence[float]
    # True where pricing all stocks finely takes long: the search then works on a coarser grid, the bound does not.
    large: bool
    tuning: Tuning = USUAL

    def components(self) -> list[Context]:
        """The job's components, each with a penalty and an effort of its own."""
        found = []
        for part in components(self.rows, self.items, [p.cells for p in self.engine.loose]):
            need = [float(row.need) if r in part.rows else 0.0 for r, row in enumerate(self.rows)]
            penalty = penalty_of(self.stocks[i] for i in part.stocks)
            demand = replace(self.demand, penalty=penalty)
            large = sum(self.engine.full[i].work for i in part.stocks) > self.tuning.scale.large
            found.append(replace(self, need=need, which=part.stocks, demand=demand, penalty=penalty, large=large))
        return found


def prepare(
    job: Job,
    executor: Executor,
    full: Shape,
    quick: Shape,
    stocks: Sequence[Stock] | None = None,
    still: Sequence[int] | None = None,
    tuning: Tuning = USUAL,
) -> Context:
    """Rows, items, stocks and pricers of a job: of whole boards and all its parts unless `stocks` (regions that earlier
    cuts have left) and `still` (how many of each part are still wanted) say otherwise. Stocks are priced through `executor`."""
    given = (None if stocks is None else tuple(stocks), None if still is None else tuple(still))
    recipe = Recipe(job, full, quick, *given, tuning)
    if shares_memory(executor):
        return _prepared(recipe, executor, Here(executor))
    crew = Elsewhere(executor, recipe, workers_of(executor))
    with ThreadPoolExecutor(workers_of(executor) + 1) as near:
        context = _prepared(recipe, near, crew)
    crew.begin(context.engine.pricers)
    return context


def _prepared(recipe: Recipe, near: Executor, crew: Crew) -> Context:
    """As `prepare`, with threads or none for what is made ready here."""
    job, full, quick, still, tuning = recipe.job, recipe.full, recipe.quick, recipe.still, recipe.tuning
    rows = build_rows(job, still)
    items = build_items(job, rows)
    stocks = whole_boards(job) if recipe.stocks is None else recipe.stocks
    grid = make_grid(items, stocks, job.shop)
    allowed = [
        [k for k, item in enumerate(items) if all(may_come_from(job.parts[q.part], s.board) for q in item.pieces)] for s in stocks
    ]
    units = [in_units(item, grid) for item in items]
    able = list(near.map(lambda i: fits(stocks[i], items, units, grid, job, allowed[i]), range(len(stocks))))

    def pricers(grid: Grid, shape: Shape, loose: bool, over: Sequence[SectionPricer] | None) -> list[SectionPricer]:
        def one(i: int) -> SectionPricer:
            cells = make_cells(stocks[i], items, units, grid, job, loose, able[i])
            return SectionPricer(cells, i, shape, items, None if over is None else over[i].ids, None, tuning.pricing)

        return list(near.map(one, range(len(stocks))))

    # The bound's pairs are chosen first: no layout may hold others.
    loose = pricers(grid, full, True, None)
    tight = pricers(grid, full, False, loose)
    work = sum(p.work for p in tight)
    swift = (
        pricers(coarser(grid), quick, False, loose)
        if work > tuning.scale.coarse
        else [SectionPricer(p.cells, i, quick, items, p.ids, None, tuning.pricing) for i, p in enumerate(tight)]
    )
    loose = [t if p.cells.same_as(t.cells) and not p.cells.granted else p for t, p in zip(tight, loose, strict=True)]
    cells = [p.cells for p in tight]
    engine = Engine(stocks, items, len(rows), tight, swift, loose, crew)
    given: list[set[Fraction]] = [set() for _ in rows]
    for item in items:
        for r, each in item.gives:
            given[r].add(each)
    counts = [counted(row.need, 1 / row.finished, given[r]) for r, row in enumerate(rows)]
    penalty = penalty_of(stocks)
    return Context(
        job,
        rows,
        items,
        stocks,
        grid,
        engine,
        Demand(rows, counts, penalty, _homes(rows, items, cells), Glueups(job, rows, items).unmade),
        [float(r.need) for r in rows],
        range(len(stocks)),
        penalty,
        at_first(rows, items, stocks, cells),
        work > tuning.scale.large,
        tuning,
    )


def penalty_of(stocks: Iterable[Stock]) -> float:
    """More than all of these stocks together cost."""
    return 1.0 + float(sum((s.cost + s.idle_credit for s in stocks), start=0))


def _homes(rows: Sequence[Row], items: Sequence[Item], cells: Sequence[Cells]) -> Mapping[str, Sequence[int]]:
    """For each group that must come from one board: the stocks on which all its rows have an item."""
    homes: dict[str, list[int]] = {}
    for group in {r.board_group for r in rows if r.board_group}:
        wanted = {k for k, r in enumerate(rows) if r.board_group == group}
        for i, c in enumerate(cells):
            given = {row for k in c.items for row, _ in items[k].gives}
            if wanted <= given:
                homes.setdefault(group, []).append(i)
    return homes
