"""Which grade: cost and clear yield of each price line for this job's part sizes, thickness class by thickness class."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.ground.deadline import Deadline
from yieldopt.luck.chance import mean_and_error
from yieldopt.records.purchase import By
from yieldopt.sourcing.lay.wants import NONE_OVER, USUALLY_OVER, Want, line_makes, wants_of
from yieldopt.sourcing.market.lines import Market
from yieldopt.sourcing.ways.buying import Buying, buy
from yieldopt.sourcing.ways.outcome import NOTHING, Outcome
from yieldopt.sourcing.ways.way import Way, boards_on_offer, quick_outcome
from yieldopt.wood.lumber import Job, Part
from yieldopt.workers.runner import Runner

# Draws of quick layouts behind a row, and of plans at most.
QUICK, PLANNED = 10, 6
# Where plans are counted, the grades' share of them.
COUNTED = 0.2


@dataclass(frozen=True)
class GradeRow:
    """One line for the parts of a species that need no more than one thickness class."""

    line: int
    # The class, inches: the least that any line gives them from.
    nominal: Fraction
    parts: tuple[str, ...]
    # Net cost of a finished square foot and its standard error.
    cost: float
    error: float | None
    # Finished face over the face of the boards less what is kept; above 1 where boards are resawn.
    clear_yield: float
    draws: int
    by: By


@dataclass(frozen=True)
class Group:
    nominal: Fraction
    parts: tuple[Part, ...]
    wants: tuple[Want, ...]
    lines: tuple[int, ...]

    @property
    def square_feet(self) -> float:
        return float(sum((p.length * p.width * p.qty for p in self.parts), Fraction(0))) / 144


def groups(market: Market, parts: Sequence[Part]) -> list[Group]:
    """Parts of one species by the least class that gives them, with the lines that make every part of the group."""
    found: dict[tuple[str, Fraction], list[tuple[Part, tuple[Want, ...]]]] = {}
    for some in _sets(parts):
        wants = wants_of(some, market.shop)
        able = [k for k in range(len(market.lines)) if all(_makes(market, w, k, NONE_OVER) for w in wants)] or [
            k for k in range(len(market.lines)) if all(_makes(market, w, k) for w in wants)
        ]
        if able:
            least = min(market.lines[k].nominal for k in able)
            found.setdefault((some[0].species, least), []).extend((p, ()) for p in some)
    made = []
    for (_, nominal), pairs in sorted(found.items()):
        own = tuple(p for p, _ in pairs)
        wants = wants_of(own, market.shop)
        able = [k for k in range(len(market.lines)) if all(_makes(market, w, k) for w in wants)]
        lines = [k for k in able if market.lines[k].nominal >= nominal]
        made.append(Group(nominal, own, wants, tuple(sorted(lines, key=lambda k: (market.lines[k].nominal != nominal, k)))))
    return [g for g in made if g.lines]


def _sets(parts: Sequence[Part]) -> list[tuple[Part, ...]]:
    """Parts that stay together: matching groups of one species, else each alone."""
    found: dict[tuple[str, str], list[Part]] = {}
    for k, p in enumerate(parts):
        found.setdefault((p.species, p.match or f"\0{k}"), []).append(p)
    return [tuple(some) for some in found.values()]


def _makes(market: Market, want: Want, line: int, over: Fraction = USUALLY_OVER) -> bool:
    return bool(line_makes(want, market.lines[line], market.shop, market.stress, over))


def quick_rows(market: Market, some: Sequence[Group], runner: Runner, deadline: Deadline) -> list[GradeRow]:
    """Every line of every group by quick layouts; lines that fail in all draws are left out."""
    tasks = (((n, m), (market, g, k)) for n, g in enumerate(some) for m, k in enumerate(g.lines))
    found = dict(runner.run(_quick_row, tasks, deadline, 0.0))
    return [row for key in sorted(found) if (row := found[key]) is not None]


def _quick_row(task: tuple[Market, Group, int]) -> GradeRow | None:
    market, g, k = task
    return _row(market, g, k, [quick_outcome(market, _way(g, k), g.wants, d) for d in range(QUICK)], "estimate")


def planned_rows(
    job: Job,
    market: Market,
    some: Sequence[Group],
    rows: list[GradeRow],
    runner: Runner,
    deadline: Deadline,
    each: float,
    seed: int,
    steps: int | None = None,
) -> Iterator[list[GradeRow]]:
    """The rows again with those that were planned in their place, after every plan."""
    got: dict[tuple[int, int], list[Outcome]] = {}
    for (n, k, _), outcome in runner.run(buy, _tasks(job, market, some, each, seed, steps), deadline, each, COUNTED):
        got.setdefault((n, k), []).append(outcome)
        row = _row(market, some[n], k, got[n, k], "plans")
        if row is not None:
            rows = [row if (r.line, r.nominal) == (row.line, row.nominal) else r for r in rows]
            yield rows


def _tasks(
    job: Job, market: Market, some: Sequence[Group], each: float, seed: int, steps: int | None
) -> Iterator[tuple[tuple[int, int, int], Buying]]:
    empty = replace(job, boards=(), prices=(), parts=())
    for d in range(PLANNED):
        for n, g in enumerate(some):
            # First the lines of the class itself: they differ in grade and dealer alone.
            for k in g.lines if d else sorted(g.lines, key=lambda k: market.lines[k].nominal != g.nominal):
                offer = boards_on_offer(market, _way(g, k), g.wants, d)
                yield (n, k, d), Buying(empty, offer.sources(g.parts), offer.boards, frozenset(), each, seed, steps)


def _way(g: Group, line: int) -> Way:
    return Way("", dict.fromkeys((w.part for w in g.wants), line))


def _row(market: Market, g: Group, line: int, outcomes: Sequence[Outcome], by: By) -> GradeRow | None:
    good = [o for o in outcomes if o.complete]
    if not good:
        return None
    total = sum(good, NOTHING)
    used = total.surface - total.kept / float(market.lines[line].nominal)
    mean, error = mean_and_error([o.cost.at(1) / g.square_feet for o in good])
    return GradeRow(
        line, g.nominal, tuple(p.name for p in g.parts), mean, error,
        len(good) * g.square_feet / used if used > 0 else 0.0, len(good), by,
    )  # fmt: skip
