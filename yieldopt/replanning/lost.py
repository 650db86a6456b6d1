"""What is lost with what: the rest of a broken set, and the pieces that lay in one blank with a lost one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from yieldopt.lumber import Job
from yieldopt.plan import BoardPlan, Piece, Plan
from yieldopt.planning.names import part_of, whole_of
from yieldopt.replanning.bench import Bench
from yieldopt.replanning.hits import spoils, thrown_in


@dataclass(frozen=True)
class Standing:
    """A marked plan beside its job, board by board."""

    job: Job
    plan: Plan
    benches: dict[str, Bench]

    def pieces(self) -> dict[str, Piece]:
        return {p.piece: p for _, p in self.plan.pieces()}


def standing(job: Job, plan: Plan) -> Standing:
    return Standing(job, plan, {b.board: Bench(job.board_named[b.board], b) for b in plan.boards})


def wanted(job: Job, piece: Piece) -> bool:
    """Does the job still ask for this piece? The designer may have dropped it."""
    part = job.part_named.get(piece.part)
    number = whole_of(piece.piece)[len(part_of(piece.piece)) + 1 :]
    return part is not None and number.isdigit() and int(number) <= part.qty


def hit(s: Standing) -> dict[str, str]:
    """Pieces, not finished, that a defect spoils where they lie, and those in a blank that may not be machined: why."""
    why: dict[str, str] = {}
    for name, bench in s.benches.items():
        for p in bench.plan.pieces:
            if p.state != "done" and wanted(s.job, p):
                found = spoils(s.job, bench.board, p)
                if found:
                    why[p.piece] = f"{' and '.join(dict.fromkeys(d.kind for d in found))} in it on {name}"
        for blank in bench.plan.blanks:
            if thrown_in(bench.board, blank, bench.plan):
                why.update((n, why.get(n, f"a loose knot or split in its blank {blank.blank}")) for n in blank.pieces)
    return why


def set_key(job: Job, entry: BoardPlan, piece: Piece) -> tuple[str, ...] | None:
    """What stands or falls together with the piece: its book pair, its slip set or run; None where it stands alone."""
    part = job.part_named.get(piece.part)
    if part is None or part.match is None or part.match_kind not in ("book", "slip", "run"):
        return None
    return (part.match, piece.set or "") if part.match_kind == "book" else (part.match,)


def spread(s: Standing, names: Iterable[str], begun_too: bool) -> frozenset[str]:
    """The pieces named and all tied to them: through their set, and through a blank not begun yet (with `begun_too`
    also through one that is)."""
    sets: dict[tuple[str, ...], list[str]] = {}
    blanks: dict[tuple[str, str], list[str]] = {}
    ties: dict[str, list[list[str]]] = {}
    for entry, p in s.plan.pieces():
        groups = []
        key = set_key(s.job, entry, p)
        if key is not None:
            groups.append(sets.setdefault(key, []))
        if begun_too or p.blank not in s.benches[entry.board].begun:
            groups.append(blanks.setdefault((entry.board, p.blank), []))
        for g in groups:
            g.append(p.piece)
        ties[p.piece] = groups
    found: set[str] = set()
    todo = [n for n in names if n in ties]
    while todo:
        name = todo.pop()
        if name not in found:
            found.add(name)
            todo += [n for g in ties[name] for n in g]
    return frozenset(found)


def broken_sets(s: Standing) -> frozenset[str]:
    """Pieces whose set lacks a member: one half of a book pair is no pair, a run with a gap is no run."""
    whole: dict[tuple[str, ...], list[Piece]] = {}
    for entry, p in s.plan.pieces():
        key = set_key(s.job, entry, p)
        if key is not None:
            whole.setdefault(key, []).append(p)
    broken: set[str] = set()
    for members in whole.values():
        part = s.job.part_named[members[0].part]
        full = 2 if part.match_kind == "book" else sum(q.qty for q in s.job.parts if q.match == part.match)
        if len(members) < full:
            broken |= {p.piece for p in members}
    return frozenset(broken)


def lost(s: Standing) -> tuple[frozenset[str], dict[str, str]]:
    """Every piece that has to be made anew or is not asked for any more, and why for those that a defect hit."""
    why = hit(s)
    dropped = {p.piece for _, p in s.plan.pieces() if not wanted(s.job, p)}
    first = set(why) | dropped | broken_sets(s)
    return spread(s, first, begun_too=False), why


def movable(s: Standing, gone: frozenset[str]) -> frozenset[str]:
    """Pieces that may be laid out anew: all but those in blanks begun and those that form a set with them."""
    begun = [p.piece for e, p in s.plan.pieces() if p.piece not in gone and p.blank in s.benches[e.board].begun]
    fixed = spread(s, begun, begun_too=False)
    return frozenset(p.piece for _, p in s.plan.pieces() if p.piece not in fixed) | gone
