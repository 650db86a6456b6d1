"""From what the shop tells to the plan with its marks: cuts and pieces done, spoiled pieces named."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from yieldopt.lumber import Defect, Job
from yieldopt.plan import Blank, Piece, Plan, Spoiled
from yieldopt.planning.names import whole_of
from yieldopt.replanning.bench import Bench
from yieldopt.replanning.surprise import Surprise


def with_found(job: Job, found: Mapping[str, tuple[Defect, ...]]) -> Job:
    """The job with the defects that came to light; one that was logged before is not logged twice."""
    boards = tuple(
        replace(b, defects=b.defects + tuple(d for d in dict.fromkeys(found.get(b.name, ())) if d not in b.defects))
        for b in job.boards
    )
    return replace(job, boards=boards)


def named(plan: Plan, names: Iterable[str]) -> frozenset[str]:
    """Pieces of the plan that go by these names; the name of a glued-up piece stands for all its staves."""
    wanted = set(names)
    return frozenset(p.piece for _, p in plan.pieces() if p.piece in wanted or whole_of(p.piece) in wanted)


def marked(job: Job, plan: Plan, surprise: Surprise) -> Plan:
    """The plan with every cut and piece that is done marked so, and spoiled pieces moved to `spoiled`.

    A piece that is done or spoiled has been cut, so all the cuts that free it are made. One that is told to be both was
    finished first and spoiled later.
    """
    spoiled = named(plan, surprise.spoiled)
    done = named(plan, surprise.done) - spoiled
    boards = []
    for entry in plan.boards:
        bench = Bench(job.board_named[entry.board], entry)
        through = surprise.cut_through.get(entry.board, 0)
        orders = {c.order for c in entry.cuts if c.order <= through}
        for piece in entry.pieces:
            if piece.piece in done | spoiled:
                orders |= bench.freeing_piece(piece)
        entry = bench.with_cuts_done(orders)
        lost = tuple(
            Spoiled(p.piece, p.x, p.y, p.length, p.width, p.layer, p.layers, p.blank) for p in entry.pieces if p.piece in spoiled
        )
        pieces = tuple(replace(p, state="done") if p.piece in done else p for p in entry.pieces if p.piece not in spoiled)
        boards.append(replace(entry, pieces=pieces, blanks=_listing(entry.blanks, pieces), spoiled=entry.spoiled + lost))
    return replace(plan, boards=tuple(boards))


def _listing(blanks: Iterable[Blank], pieces: Iterable[Piece]) -> tuple[Blank, ...]:
    names = {p.piece for p in pieces}
    return tuple(replace(b, pieces=tuple(n for n in b.pieces if n in names)) for b in blanks)
