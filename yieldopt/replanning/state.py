"""From what the shop tells to the plan with its marks: cuts and pieces done, spoiled pieces named."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from yieldopt.ground.names import part_of, whole_of
from yieldopt.replanning.bench import Bench
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Blank, Piece, Plan, Spoiled


def changed_job(job: Job, surprise: Surprise) -> Job:
    """The job with what came to light: new parts list, boards measured again, defects (one that was logged before is
    not logged twice)."""
    boards = []
    for b in job.boards:
        board = surprise.boards.get(b.name, b)
        new = tuple(d for d in dict.fromkeys(surprise.found.get(b.name, ())) if d not in board.defects)
        boards.append(replace(board, defects=board.defects + new) if new else board)
    parts = job.parts if surprise.parts is None else surprise.parts
    wanted = {p.name: p.qty for p in parts}
    pins = tuple(q for q in job.pins if q.piece not in surprise.unpinned)
    if surprise.parts is not None:
        pins = tuple(q for q in pins if int(whole_of(q.piece)[len(part_of(q.piece)) + 1 :]) <= wanted.get(part_of(q.piece), 0))
    return replace(job, boards=tuple(boards), parts=parts, pins=pins)


def renamed(job: Job, plan: Plan) -> tuple[Plan, dict[str, str]]:
    """The plan with pieces under lower numbers where fewer of a part are wanted now, so that finished ones count; and
    which piece goes by which new name. Members of sets and staves keep their names."""
    taken: dict[str, list[Piece]] = {}
    pinned = {q.piece for q in job.pins}
    for _, p in plan.pieces():
        part = job.part_named.get(p.part)
        if part is not None and part.match is None and p.stave is None:
            taken.setdefault(p.part, []).append(p)
    names: dict[str, str] = {}
    for part_name, pieces in taken.items():
        qty = job.part_named[part_name].qty
        numbers = {int(p.piece[len(part_name) + 1 :]): p for p in pieces}
        places = [k for k in range(1, qty + 1) if k not in numbers] + [
            k for k in sorted(numbers) if k <= qty and numbers[k].state != "done"
        ]
        places = [k for k in places if f"{part_name}#{k}" not in pinned]
        for k in sorted(numbers):
            if k > qty and numbers[k].state == "done" and places:
                low = places.pop(0)
                names[f"{part_name}#{k}"] = f"{part_name}#{low}"
                if low in numbers:
                    names[f"{part_name}#{low}"] = f"{part_name}#{k}"
    if not names:
        return plan, {}
    boards = tuple(
        replace(
            b,
            pieces=tuple(replace(p, piece=names.get(p.piece, p.piece)) for p in b.pieces),
            blanks=tuple(replace(k, pieces=tuple(names.get(n, n) for n in k.pieces)) for k in b.blanks),
        )
        for b in plan.boards
    )
    return replace(plan, boards=boards), names


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
        orders = {c.order for c in entry.cuts if c.order <= through} | surprise.cuts.get(entry.board, frozenset())
        for piece in entry.pieces:
            if piece.piece in done | spoiled:
                orders |= bench.freeing_piece(piece)
        entry = bench.with_cuts_done(orders)
        lost = tuple(
            Spoiled(p.piece, p.x, p.y, p.length, p.width, p.layer, p.layers, p.blank) for p in entry.pieces if p.piece in spoiled
        )
        pieces = tuple(
            replace(p, state="done" if p.piece in done else p.state, show=surprise.shows.get(p.piece, p.show))
            for p in entry.pieces
            if p.piece not in spoiled
        )
        boards.append(replace(entry, pieces=pieces, blanks=_listing(entry.blanks, pieces), spoiled=entry.spoiled + lost))
    return replace(plan, boards=tuple(boards))


def _listing(blanks: Iterable[Blank], pieces: Iterable[Piece]) -> tuple[Blank, ...]:
    names = {p.piece for p in pieces}
    return tuple(replace(b, pieces=tuple(n for n in b.pieces if n in names)) for b in blanks)
