"""Everything the searches share about one job: rows, items, stocks, grid, engine."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import reduce
from math import lcm

from yieldopt.lumber import Board, Job, Part
from yieldopt.planning.cells import make_cells
from yieldopt.planning.engine import Engine
from yieldopt.planning.grid import Grid, make_grid
from yieldopt.planning.items import Item, build_items
from yieldopt.planning.restrict import Demand
from yieldopt.planning.rows import Row, build_rows
from yieldopt.planning.sections import Shape
from yieldopt.planning.stock import Stock, whole_boards


@dataclass(frozen=True)
class Context:
    """One job made ready for planning."""

    job: Job
    rows: tuple[Row, ...]
    items: tuple[Item, ...]
    stocks: tuple[Stock, ...]
    grid: Grid
    engine: Engine
    demand: Demand
    # Money that missing one finished part costs in the search: more than all stocks together.
    penalty: float

    @property
    def need(self) -> list[float]:
        return [float(r.need) for r in self.rows]


def may_come_from(part: Part, board: Board) -> bool:
    """Species, sawn orientation and the maker's own choice of boards."""
    return (
        part.species == board.species
        and (part.sawn == "any" or part.sawn == board.sawn)
        and (not part.sources or board.name in part.sources)
    )


def prepare(job: Job, executor: Executor, shape: Shape, quick: Shape) -> Context:
    """Rows, items, stocks and pricers of a job."""
    rows = build_rows(job)
    items = build_items(job, rows)
    stocks = whole_boards(job)
    grid = make_grid(items, stocks, job.shop)
    allowed = [[k for k, item in enumerate(items) if all(may_come_from(job.parts[q.part], s.board) for q in item.pieces)] for s in stocks]
    cells = list(executor.map(lambda a: make_cells(a[0], items, grid, job, False, a[1]), zip(stocks, allowed, strict=True)))
    loose = list(executor.map(lambda a: make_cells(a[0], items, grid, job, True, a[1]), zip(stocks, allowed, strict=True)))
    engine = Engine(stocks, items, len(rows), cells, loose, shape, quick, executor)
    scale = [reduce(lcm, (a.denominator for item in items for row, a in item.gives if row == r), r_.need.denominator) for r, r_ in enumerate(rows)]
    penalty = 1.0 + float(sum((s.cost for s in stocks), start=0))
    return Context(job, rows, items, stocks, grid, engine, Demand(rows, scale, penalty, _homes(rows, items, cells)), penalty)


def _homes(rows: Sequence[Row], items: Sequence[Item], cells: Sequence[object]) -> Mapping[str, Sequence[int]]:
    """For each group that must come from one board: the stocks on which all its rows have an item."""
    homes: dict[str, list[int]] = {}
    for group in {r.group for r in rows if r.one_board and r.group}:
        wanted = {k for k, r in enumerate(rows) if r.group == group and r.one_board}
        for i, c in enumerate(cells):
            given = {row for k in c.items for row, _ in items[k].gives}  # type: ignore[attr-defined]
            if wanted <= given:
                homes.setdefault(group, []).append(i)
    return homes
