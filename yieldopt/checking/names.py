"""Rule 117: what is chalked on the wood goes on meaning what it meant in the job's earlier plans."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from yieldopt.checking.context import Context, rule
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import EPS
from yieldopt.records.sections import GivenUp
from yieldopt.wood.plan import Blank, BoardPlan, Offcut


@rule(117)
def given_up_for_good(c: Context) -> Iterator[Finding]:
    """A name under `given_up` is used for nothing any more."""
    said = c.plan.section(GivenUp)
    boards = {b.board: b for b in c.plan.boards}
    for gone in said.value if said else ():
        board = boards.get(gone.board)
        if board is None:
            continue
        taken = [
            *(f"blank {b.blank}" for b in board.blanks if b.blank in gone.blanks),
            *(f"cut {k.order}" for k in board.cuts if k.order in gone.cuts),
            *(f"offcut {o.offcut}" for o in board.offcuts if o.offcut in gone.offcuts),
        ]
        for name in taken:
            yield finding(117, board.board, name, "a name that an earlier plan gave up", "a new one")


@rule(117)
def as_in_the_plan_before(c: Context) -> Iterator[Finding]:
    """Where the plan before is at hand: a blank or offcut that lies where it lay is called what it was, and what was the
    name of one is not that of another; the number of a cut is that of its line, or one that no cut had."""
    if c.before is None:
        return
    earlier = {b.board: b for b in c.before.boards}
    for board in c.plan.boards:
        old = earlier.get(board.board)
        if old is not None:
            yield from _things(c, board.board, "blank", {b.blank: b for b in old.blanks}, {b.blank: b for b in board.blanks})
            yield from _things(c, board.board, "offcut", {o.offcut: o for o in old.offcuts}, {o.offcut: o for o in board.offcuts})
            yield from _cuts(c, old, board)


def _things(
    c: Context, board: str, what: str, old: Mapping[str, Blank | Offcut], new: Mapping[str, Blank | Offcut]
) -> Iterator[Finding]:
    for name, thing in new.items():
        was = old.get(name)
        place = f"x {c.show(thing.x)}, y {c.show(thing.y)}"
        if was is not None and not _same(was, thing):
            yield finding(117, board, f"{what} {name}", f"it at {place}", f"it at x {c.show(was.x)}, y {c.show(was.y)}")
        for other, there in old.items():
            if other != name and _same(there, thing):
                yield finding(117, board, f"{what} {name}", f"this name at {place}", f"{other}, as in the plan before")


def _same(a: Blank | Offcut, b: Blank | Offcut) -> bool:
    """The same wood, with the same layers."""
    sides = ((a.x, b.x), (a.y, b.y), (a.length, b.length), (a.width, b.width))
    if a.layers != b.layers or any(abs(p - q) > EPS for p, q in sides):
        return False
    if isinstance(a, Blank) and isinstance(b, Blank):
        return len(a.thicknesses) == len(b.thicknesses) and all(
            abs(p - q) <= EPS for p, q in zip(a.thicknesses, b.thicknesses, strict=True)
        )
    return isinstance(a, Offcut) and isinstance(b, Offcut) and a.layer == b.layer


def _cuts(c: Context, old: BoardPlan, new: BoardPlan) -> Iterator[Finding]:
    numbers = {k.order: k for k in old.cuts}
    most = max(numbers, default=0)
    for cut in new.cuts:
        was = numbers.get(cut.order)
        if was is None:
            if cut.order <= most:
                yield finding(117, new.board, f"cut {cut.order}", "a number between those of the plan before", f"above {most}")
        elif was.kind != cut.kind or abs(was.at - cut.at) > EPS:
            there = f"a {cut.kind} at {c.show(cut.at)}"
            yield finding(117, new.board, f"cut {cut.order}", there, f"the {was.kind} at {c.show(was.at)}, or a new number")
