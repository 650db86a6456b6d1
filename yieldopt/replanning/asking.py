"""What the shop tells, from files and options; every mistake is listed at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from yieldopt.ground.errors import InputError, Problem, UsageError
from yieldopt.ground.names import whole_of
from yieldopt.reading.job import read_defects
from yieldopt.replanning.surprise import Surprise
from yieldopt.replanning.telling import happened
from yieldopt.wood.lumber import Defect, Job
from yieldopt.wood.plan import Plan


def told(
    job: Job,
    plan: Plan,
    done: Path | None = None,
    spoiled: Path | None = None,
    found: Path | None = None,
    cut_through: Sequence[str] = (),
    lines: Sequence[str] = (),
) -> Surprise:
    """Read it all. Raises `InputError` with each name that is no piece of the plan, each defect that can't be read or
    lies off its board, each board or cut that is not in the plan, each of `lines` that can't be understood."""
    problems: list[Problem] = []
    pieces = [p for _, p in plan.pieces()]
    known = {p.piece for p in pieces} | {whole_of(p.piece) for p in pieces if p.stave is not None}
    lost_before = {name for b in plan.boards for s in b.spoiled for name in s.piece.split(", ")}
    finished = _names(done, known, problems)
    lost = _names(spoiled, known | lost_before, problems)
    defects = {}
    if found is not None:
        try:
            defects = read_defects(found, job.boards, job.units)
        except InputError as error:
            problems += error.problems
    through = _orders(plan, cut_through, problems)
    base = Surprise(frozenset(finished), frozenset(lost), defects, through, told=_words(finished, lost, defects, through))
    try:
        surprise = happened(job, plan, lines, base)
    except InputError as error:
        problems += error.problems
    if problems:
        raise InputError(problems)
    return surprise


def _words(
    done: Iterable[str], spoiled: Iterable[str], found: Mapping[str, Sequence[Defect]], through: Mapping[str, int]
) -> tuple[str, ...]:
    """What files and options told, in words for the history."""
    return (
        *(f"{n}: done" for n in done),
        *(f"{n}: spoiled" for n in spoiled),
        *(f"{n}: {d.kind} found" for n, ds in found.items() for d in ds),
        *(f"{n}: cut through {k}" for n, k in through.items()),
    )


def _names(path: Path | None, known: set[str], problems: list[Problem]) -> list[str]:
    """Names of pieces in a text file, one a line; blank lines are passed over."""
    if path is None:
        return []
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise UsageError(f"{path}: not text in UTF-8: {error.reason} at byte {error.start}") from error
    names = []
    for row, line in enumerate(text.splitlines(), start=1):
        name = " ".join(line.split())
        if name and name not in known:
            problems.append(Problem(path.name, row, None, name, "a piece of the plan, such as " + (min(known, default="rail#1"))))
        elif name:
            names.append(name)
    return names


def _orders(plan: Plan, cut_through: Sequence[str], problems: list[Problem]) -> dict[str, int]:
    """BOARD:N of each `--cut-through`; the highest N of a board counts."""
    entries = {b.board: b for b in plan.boards}
    through: dict[str, int] = {}
    for text in cut_through:
        board, _, number = text.rpartition(":")
        entry = entries.get(board)
        if entry is None:
            problems.append(Problem("--cut-through", None, None, text, "BOARD:N with a board that the plan cuts"))
            continue
        orders = {str(c.order): c.order for c in entry.cuts}
        if number.strip() not in orders:
            last = max(orders.values(), default=0)
            problems.append(Problem("--cut-through", None, None, text, f"the number of a cut of {board}, {last} at most"))
            continue
        through[board] = max(through.get(board, 0), orders[number.strip()])
    return through
