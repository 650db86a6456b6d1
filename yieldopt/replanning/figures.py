"""Old and new plan side by side in figures: cost, bound, what is to spare, what is at risk, which chalk lines stay."""

from __future__ import annotations

from dataclasses import dataclass, replace

from yieldopt.insight.slack import blank_slacks
from yieldopt.records.why import spare_words
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the comparison, in words as a person reads it."""

    what: str
    before: str
    after: str


def figures(old_job: Job, old: Plan, job: Job, new: Plan) -> tuple[Figure, ...]:
    """Each plan judged against the job it was made for."""
    rows = (
        ("net cost", _money(old.totals.net_cost), _money(new.totals.net_cost)),
        ("bound", _money(old.totals.bound), _money(new.totals.bound)),
        ("boards cut", str(old.totals.boards_cut), str(new.totals.boards_cut)),
        ("parts without a place", _unplaced(old), _unplaced(new)),
        ("least thickness to spare", _least(old_job, old), _least(job, new)),
        ("pieces at risk of coming out thin", _at_risk(old_job, old), _at_risk(job, new)),
    )
    return tuple(Figure(*r) for r in rows)


def as_known(job: Job, plan: Plan) -> Plan:
    """The plan without pieces of parts that were taken out of the job's parts list by hand."""
    if all(p.part in job.part_named for _, p in plan.pieces()):
        return plan
    gone = {p.piece for _, p in plan.pieces() if p.part not in job.part_named}
    boards = tuple(
        replace(
            b,
            pieces=tuple(p for p in b.pieces if p.piece not in gone),
            blanks=tuple(replace(k, pieces=tuple(n for n in k.pieces if n not in gone)) for k in b.blanks),
        )
        for b in plan.boards
    )
    return replace(plan, boards=boards)


def _money(value: float | None) -> str:
    return "-" if value is None else f"{value:.2f}"


def _unplaced(plan: Plan) -> str:
    return ", ".join(f"{u.qty} x {u.part}" for u in plan.unplaced) or "none"


def _least(job: Job, plan: Plan) -> str:
    done = {p.blank for _, p in plan.pieces() if p.state == "done"}
    blanks = [b for b in blank_slacks(job, plan) if b.blank not in done]
    least = min(blanks, key=lambda b: b.spare, default=None)
    return "-" if least is None else f"{spare_words(least.spare, job.units)} ({least.blank})"


def _at_risk(job: Job, plan: Plan) -> str:
    thin = {b.blank for b in blank_slacks(job, plan) if b.at_risk}
    return ", ".join(p.piece for _, p in plan.pieces() if p.blank in thin and p.state != "done") or "none"


# Widest column of a figure; a longer one gets a line of its own.
WIDEST = 24


def side_by_side(rows: tuple[Figure, ...], old: int, new: int) -> list[str]:
    """The figures as lines of text in three columns; one that is too long for its column stands below its name."""
    short = [r for r in rows if max(len(r.before), len(r.after)) <= WIDEST]
    table = [Figure("", f"revision {old}", f"revision {new}"), *short]
    first, second = max(len(r.what) for r in table), max(len(r.before) for r in table)
    lines = [f"{r.what:<{first}}  {r.before:<{second}}  {r.after}".rstrip() for r in table]
    for r in rows:
        if r not in short:
            same = [f"    revisions {old} and {new}: {r.after}"]
            lines += [
                r.what,
                *(same if r.before == r.after else [f"    revision {old}: {r.before}", f"    revision {new}: {r.after}"]),
            ]
    return lines
