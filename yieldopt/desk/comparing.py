"""Two plans of a job beside each other: money, boards, pieces that moved; in words and as the page draws them."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from pydantic import BaseModel

from yieldopt.desk.show import Shown, Wood, shown, woods
from yieldopt.ground.lengths import marked
from yieldopt.replanning.figures import figures
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

Seen = tuple[Job, Plan]
Place = tuple[str, Fraction, Fraction, int]


class Figure(BaseModel):
    what: str
    before: str
    after: str


class Moved(BaseModel):
    """A piece that lies elsewhere, in words; no `before` or no `after` where it has no place in that plan."""

    piece: str
    part: str
    before: str | None
    after: str | None


class Side(BaseModel):
    """One of the plans, with the boards of its job."""

    boards: list[Wood]
    plan: Shown


class Compared(BaseModel):
    """`words`: what the second costs against the first, in a line. `new`, `dropped`: boards that only one of them cuts."""

    words: str
    figures: list[Figure]
    new: list[str]
    dropped: list[str]
    moved: list[Moved]
    before: Side
    after: Side


def compared(old: Seen, new: Seen) -> Compared:
    """Each plan is judged against the job that it was made for."""
    (old_job, before), (job, after) = old, new
    was, now = [b.board for b in before.boards], [b.board for b in after.boards]
    came, went = [b for b in now if b not in was], [b for b in was if b not in now]
    return Compared(
        words=_words(before, after, came, went),
        figures=[Figure(what=f.what, before=f.before, after=f.after) for f in figures(old_job, before, job, after)],
        new=came,
        dropped=went,
        moved=_moved(before, after),
        before=Side(boards=woods(old_job), plan=shown(before)),
        after=Side(boards=woods(job), plan=shown(after)),
    )


def _words(before: Plan, after: Plan, came: list[str], went: list[str]) -> str:
    """`+ 12.40, and W7 is cut as well`."""
    lacked = {u.part: u.qty for u in before.unplaced}
    lacking = [f"{n} x {u.part}" for u in after.unplaced if (n := u.qty - lacked.get(u.part, 0)) > 0]
    more = after.totals.net_cost - before.totals.net_cost
    said = [f"{'−' if more < 0 else '+'} {abs(more):.2f}" if abs(more) >= 0.005 else "costs the same"]
    said += [f"{_and(came)} {'is' if len(came) == 1 else 'are'} cut as well"] if came else []
    said += [f"{_and(went)} {'is' if len(went) == 1 else 'are'} not cut any more"] if went else []
    words = _and(said, ", and ")
    # What is missing comes first: a plan that leaves parts out is cheaper for it.
    return f"no place for {_and(lacking)}; without that {words}" if lacking else words


def _and(things: list[str], last: str = " and ") -> str:
    return last.join([", ".join(things[:-1]), things[-1]]) if len(things) > 1 else things[0]


def _places(plan: Plan) -> dict[str, tuple[str, Place]]:
    return {p.piece: (p.part, (b.board, p.x, p.y, p.layer)) for b, p in plan.pieces()}


def _moved(before: Plan, after: Plan) -> list[Moved]:
    was, now = _places(before), _places(after)
    names: Iterable[str] = dict.fromkeys([*was, *now])
    found = [(n, was.get(n), now.get(n)) for n in names]

    def told(place: tuple[str, Place] | None) -> str | None:
        if place is None:
            return None
        board, x, y, _ = place[1]
        return f"{board} at {marked(x, after.units)}, {marked(y, after.units)}"

    return [
        Moved(piece=n, part=(b or a or ("",))[0], before=told(a), after=told(b))
        for n, a, b in found
        if (a and a[1]) != (b and b[1])
    ]
