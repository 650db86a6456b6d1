"""Which of the dealer's own boards, once they are logged: the cheapest set that covers the job, and second choices.

"Exact" means the planner's own proof: its bound says how much less any set could cost, among layouts of its kinds.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import inf
from pathlib import Path

from yieldopt.deadline import Deadline
from yieldopt.errors import UsageError
from yieldopt.lumber import Board, Job, PriceLine
from yieldopt.plan import Plan
from yieldopt.sourcing.bill import bill
from yieldopt.sourcing.planned import plan_parts
from yieldopt.sourcing.purchase import whole_groups
from yieldopt.sourcing.rest import spares
from yieldopt.sourcing.runner import Runner
from yieldopt.sourcing.wants import short_parts

# Combinations of bundled lines that are tried; each is a plan of its own.
MOST_COMBINATIONS = 8
# A gap this small is rounding.
PROVEN = 1e-5
# Of the time: the set itself, its proof and second choices.
FIRST = 0.5


@dataclass(frozen=True)
class Offered:
    """One logged board of a dealer's, and what it would cost."""

    board: Board
    cost: Fraction
    board_feet: Fraction
    line: int | None


@dataclass(frozen=True)
class Instead:
    """What to take if one board of the choice is gone: boards let go and taken, and how much more it costs.

    `more` is None where nothing else covers the job (as far as the planner got in its time).
    """

    gone: str
    without: tuple[str, ...]
    take: tuple[str, ...]
    more: float | None


@dataclass(frozen=True)
class Chosen:
    """The cheapest set found."""

    boards: tuple[Offered, ...]
    # To pay, bundles included, and what no set can go below; None: not proven.
    cost: float
    bound: float | None
    # Board feet that bundles add, by line.
    bundles: Mapping[int, float]
    unplaced: tuple[tuple[str, int], ...]
    # The plan on rack and chosen boards; all boards of the job as planned.
    plan: Plan | None
    job: Job
    instead: tuple[Instead, ...] = ()


def read_offered(path: Path, job: Job) -> tuple[Board, ...]:
    """The dealer's boards: a folder with `boards.csv` (defects and edges beside it), or a rack file.

    Raises `InputError` for mistakes in the files and `UsageError` where a board's name is on the job's rack too.
    """
    if path.is_dir():
        from yieldopt.reading.job import read_boards

        boards = read_boards(path, job.units)
    elif path.is_file():
        from yieldopt.rack.facade import Rack

        with Rack.open(str(path)) as shelf:
            boards = tuple(shelf.available_boards())
    else:
        raise UsageError(f"--offered: {path}: expected a folder with boards.csv, or a rack file")
    twice = sorted({b.name for b in boards} & {b.name for b in job.boards})
    if twice:
        raise UsageError(f"--offered: {path}: boards of these names are on the job's own rack: {', '.join(twice)}")
    return boards


def priced(boards: Sequence[Board], lines: Sequence[PriceLine]) -> list[Offered]:
    """Each board's bill: its own price where it has one, else by the sheet's line for its dealer and grade.

    Raises `UsageError` naming every board for which there is neither.
    """
    found, unknown = [], []
    for b in boards:
        line = next((k for k, x in enumerate(lines) if _is_of(b, x)), None)
        if b.cost is None and b.price_bf is None and b.price_m3 is None:
            if line is None:
                unknown.append(b.name)
                continue
            owed = bill(lines[line], b.length, b.greatest_width)
            found.append(Offered(replace(b, cost=owed.cost), owed.cost, owed.board_feet, line))
        else:
            found.append(Offered(replace(b, cost=b.price), b.price, b.board_feet, line))
    if unknown:
        raise UsageError(f"no price for {', '.join(unknown)}: expected a cost or price, or a line of prices.csv for species, "
                         "quarters, dealer and grade")  # fmt: skip
    return found


def _is_of(board: Board, line: PriceLine) -> bool:
    def same(note: str, value: str) -> bool:
        said = board.notes.get(note, "")
        return not said or said.casefold() == value.casefold()

    long = (line.min_length or 0) <= board.length <= (line.max_length or board.length)
    return (
        (board.species, board.nominal) == (line.species, line.nominal)
        and same("dealer", line.dealer)
        and same("grade", line.grade)
        and long
    )


def choose(
    job: Job,
    offered: Sequence[Offered],
    runner: Runner,
    deadline: Deadline,
    seed: int,
    say: Callable[[str], None],
    rack: Plan | None = None,
) -> Chosen:
    """The set of offered boards that costs least and covers the job together with the rack, then second choices.

    Where the whole is too much for the time, what a plan on the `rack` alone misses is planned on what it leaves and the
    boards on offer: a set that may not be the cheapest, and no bound.
    """
    kept = [b for b in job.boards if b.name not in job.leave]
    closings = _closings(job, offered)
    each = FIRST * deadline.left / len(closings)
    best: tuple[tuple[bool, int, float], Plan, float, dict[int, float], tuple[Job, list[Board]]] | None = None
    for closed in closings:
        some = [o for o in offered if o.line not in closed]
        plan = _cheapest(job, kept, some, max(1.0, each), seed, deadline, runner.workers)
        alone = (job, kept)
        if plan.unplaced and rack is not None:
            # What the rack's plan misses, from what that plan leaves and the boards on offer.
            short = short_parts(job, whole_groups(job, {u.part: u.qty for u in rack.unplaced}))
            less = (replace(job, parts=short, pins=()), list(spares(job.boards, rack, job.leave)))
            rest = _cheapest(*less, some, max(1.0, each / 2), seed, deadline, runner.workers)
            if sum(u.qty for u in rest.unplaced) < sum(u.qty for u in plan.unplaced):
                plan, alone = replace(rest, totals=replace(rest.totals, bound=None)), less
        cost, more, bundles = _to_pay(job, plan, some)
        key = (bool(plan.unplaced), sum(u.qty for u in plan.unplaced), cost + more)
        if best is None or key < best[0]:
            best = (key, plan, cost + more, bundles, alone)
        if deadline.stopped:
            break
    assert best is not None
    _, plan, pay, bundles, (base, base_kept) = best
    used = {bp.board for bp in plan.boards}
    taken = tuple(o for o in offered if o.board.name in used)
    say(f"chosen: {len(taken)} of the dealer's {len(offered)} boards, {pay:.2f}")
    whole = replace(job, boards=(*job.boards, *(o.board for o in taken)), prices=job.prices)
    final = None
    if not plan.unplaced and not deadline.stopped:
        final = _on_all(whole, deadline.part(max(1.0, 0.4 * deadline.left)), seed)
    bound = plan.totals.bound if not _bundled(job, offered) and not plan.unplaced else None
    chosen = Chosen(
        taken, pay, bound, bundles, tuple((u.part, u.qty) for u in plan.unplaced), final, whole,
    )  # fmt: skip
    return replace(chosen, instead=tuple(_instead(base, base_kept, offered, chosen, runner, deadline, seed)))


def _on_all(job: Job, deadline: Deadline, seed: int) -> Plan | None:
    """The job on rack and chosen boards at their own costs: what to cut once they are home."""
    from yieldopt.checked import plan_checked

    plan = plan_checked(job, seconds=deadline.left, seed=seed, deadline=deadline, until_gap=PROVEN).plan
    return None if plan.unplaced else plan


def _cheapest(
    job: Job,
    kept: Sequence[Board],
    some: Sequence[Offered],
    seconds: float,
    seed: int,
    within: Deadline | None = None,
    threads: int = 1,
) -> Plan:
    """Pins and the maker's own boards hold; the rack's boards cost nothing more and offcuts earn nothing, so that the net
    cost is what is paid at the dealer's."""
    values = replace(job.shop.values, offcut_credit=Fraction(0))
    free = [replace(b, cost=Fraction(0)) for b in kept]
    bare = replace(job, shop=replace(job.shop, values=values))
    known = {b.name for b in kept}
    parts = [replace(p, sources=tuple(s for s in p.sources if s in known)) if p.sources else p for p in job.parts]
    return plan_parts(bare, parts, [*free, *(o.board for o in some)], seconds, seed, False, PROVEN, inf, within, threads)


def _bundled(job: Job, offered: Sequence[Offered]) -> list[int]:
    return sorted({o.line for o in offered if o.line is not None and job.prices[o.line].bundle_bf > 0})


def _closings(job: Job, offered: Sequence[Offered]) -> list[frozenset[int | None]]:
    """Sets of bundled lines to do without: with a least quantity to pay, fewer lines can be cheaper."""
    lines = _bundled(job, offered)
    sets = itertools.chain.from_iterable(itertools.combinations(lines, n) for n in range(len(lines) + 1))
    return [frozenset(s) for s in itertools.islice(sets, MOST_COMBINATIONS)]


def _to_pay(job: Job, plan: Plan, some: Sequence[Offered]) -> tuple[float, float, dict[int, float]]:
    """Bills of the boards that a plan cuts, what bundles add to them, and their feet by line."""
    used = {bp.board for bp in plan.boards}
    taken = [o for o in some if o.board.name in used]
    rest: dict[int, float] = {}
    more = 0.0
    for k in _bundled(job, taken):
        line = job.prices[k]
        short = float(line.bundle_bf - sum((o.board_feet for o in taken if o.line == k), Fraction(0)))
        if short > 0:
            rest[k] = short
            more += short * float(line.price_bf + line.surfacing_bf)
    return float(sum((o.cost for o in taken), Fraction(0))), more, rest


@dataclass(frozen=True)
class _Without:
    job: Job
    kept: tuple[Board, ...]
    some: tuple[Offered, ...]
    seconds: float
    seed: int


def _second(w: _Without) -> tuple[bool, float, tuple[str, ...]]:
    plan = _cheapest(w.job, w.kept, w.some, w.seconds, w.seed)
    cost, more, _ = _to_pay(w.job, plan, w.some)
    used = {bp.board for bp in plan.boards}
    return not plan.unplaced, cost + more, tuple(o.board.name for o in w.some if o.board.name in used)


def _instead(
    job: Job, kept: Sequence[Board], offered: Sequence[Offered], chosen: Chosen, runner: Runner, deadline: Deadline, seed: int
) -> list[Instead]:
    """For each chosen board the cheapest set without it; those that time did not reach are left out."""
    if chosen.unplaced:
        return []
    names = [o.board.name for o in chosen.boards]
    each = max(2.0, deadline.left * runner.workers / max(1, len(names)) / 1.5)
    tasks = (
        (n, _Without(replace(job, pins=()), tuple(kept), tuple(o for o in offered if o.board.name != n), each, seed))
        for n in names
    )
    found = {}
    for gone, (complete, cost, used) in runner.run(_second, tasks, deadline, min(each, 2 * deadline.left)):
        without = tuple(n for n in names if n not in used and n != gone)
        found[gone] = Instead(gone, without, tuple(u for u in used if u not in names), cost - chosen.cost if complete else None)
    return [found[n] for n in names if n in found]
