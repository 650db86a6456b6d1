"""The dealer's own logged boards: what each costs, and the plan that pays least for them.

"Least" means the planner's own proof: its bound says how much less any set could cost, among layouts of its kinds.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor, inf
from pathlib import Path

from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import UsageError
from yieldopt.luck.bill import bill
from yieldopt.sourcing.ways.buying import plan_parts
from yieldopt.wood.lumber import Board, Job, PriceLine
from yieldopt.wood.plan import Plan

# A gap this small is rounding.
PROVEN = 1e-5


@dataclass(frozen=True)
class Offered:
    """One logged board of a dealer's, and what it would cost."""

    board: Board
    cost: Fraction
    board_feet: Fraction
    line: int | None


def read_offered(path: Path, job: Job) -> tuple[Board, ...]:
    """The dealer's boards: a folder with `boards.csv` (defects and edges beside it), or a rack file.

    Raises `InputError` for mistakes in the files and `UsageError` where a board's name is on the job's rack too.
    """
    if path.is_dir():
        from yieldopt.reading.job import read_boards

        boards = read_boards(path, job.units)
    elif path.is_file():
        from yieldopt.rack.door.facade import Rack

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
            cost = cents(owed.cost)
            found.append(Offered(replace(b, cost=cost), cost, owed.board_feet, line))
        else:
            found.append(Offered(replace(b, cost=b.price), b.price, b.board_feet, line))
    if unknown:
        raise UsageError(f"no price for {', '.join(unknown)}: expected a cost or price, or a line of prices.csv for species, "
                         "quarters, dealer and grade")  # fmt: skip
    return found


def cents(money: Fraction) -> Fraction:
    """To the hundredth, half of one up: no dealer asks for less of it than that."""
    return Fraction(floor(100 * money + Fraction(1, 2)), 100)


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


def cheapest(
    job: Job,
    kept: Sequence[Board],
    some: Sequence[Offered],
    seconds: float,
    seed: int,
    within: Deadline | None = None,
    threads: int = 1,
    steps: int | None = None,
) -> Plan:
    """Pins and the maker's own boards hold; the rack's boards cost nothing more and offcuts earn nothing, so that
    the net cost is what is paid at the dealer's."""
    values = replace(job.shop.values, offcut_credit=Fraction(0))
    rack = [replace(b, cost=Fraction(0)) for b in kept]
    bare = replace(job, shop=replace(job.shop, values=values))
    known = {b.name for b in kept}
    parts = [replace(p, sources=tuple(s for s in p.sources if s in known)) if p.sources else p for p in job.parts]
    return plan_parts(bare, parts, [*rack, *(o.board for o in some)], seconds, seed, False, PROVEN, inf, within, threads, steps)


def bundled(job: Job, offered: Sequence[Offered]) -> list[int]:
    return sorted({o.line for o in offered if o.line is not None and job.prices[o.line].bundle_bf > 0})


def to_pay(job: Job, used: Set[str], some: Sequence[Offered]) -> tuple[float, float, dict[int, float]]:
    """Bills of the offered boards that are used, what bundles add to them, and their feet by line."""
    taken = [o for o in some if o.board.name in used]
    rest: dict[int, float] = {}
    more = 0.0
    for k in bundled(job, taken):
        line = job.prices[k]
        short = float(line.bundle_bf - sum((o.board_feet for o in taken if o.line == k), Fraction(0)))
        if short > 0:
            rest[k] = short
            more += short * float(line.price_bf + line.surfacing_bf)
    return float(sum((o.cost for o in taken), Fraction(0))), more, rest


def used_by(plan: Plan) -> frozenset[str]:
    return frozenset(bp.board for bp in plan.boards)
