"""The job that is left: parts still to be made, as a job of its own, and its pieces' names in the whole job."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.ground.names import part_of, stave_of, whole_of
from yieldopt.sizes.sizing import stave_width_needed
from yieldopt.wood.lumber import Job, Part, Pin
from yieldopt.wood.plan import BoardPlan, Piece


@dataclass(frozen=True)
class Repair:
    """A glued-up piece that lacks a stave or more: its name, and the stave numbers that are taken."""

    base: str
    part: str
    taken: frozenset[int]


@dataclass(frozen=True)
class Reduced:
    """`job` asks only for what is left; `bases` gives the name in the whole job of each of its pieces."""

    job: Job
    bases: dict[str, str]
    # By the name of the part that stands for it in `job`.
    repairs: dict[str, Repair]


def still_missing(job: Job, kept: Iterable[Piece]) -> list[tuple[Part, str]]:
    """Each piece that the job asks for and nothing kept stands for, by part and name; staves stand for their glue-up."""
    have = {(p.part, whole_of(p.piece)) for p in kept}
    names = ((part, f"{part.name}#{k}") for part in job.parts for k in range(1, part.qty + 1))
    return [(part, n) for part, n in names if (part.name, n) not in have]


def reduce(job: Job, kept: Iterable[tuple[str, Piece]]) -> Reduced:
    """The job without the pieces kept, given as (board, piece)."""
    kept = list(kept)
    have: dict[str, set[str]] = {}
    staves: dict[str, list[Piece]] = {}
    homes: dict[str, str] = {}
    for board, p in kept:
        have.setdefault(p.part, set()).add(whole_of(p.piece))
        if p.stave is not None:
            staves.setdefault(whole_of(p.piece), []).append(p)
        part = job.part_named[p.part]
        if part.match and part.match_kind == "board":
            homes[part.match] = board
    parts: list[Part] = []
    bases: dict[str, str] = {}
    repairs: dict[str, Repair] = {}
    for part in job.parts:
        at_home = part
        if part.match in homes:
            # The rest of a group that has begun on a board comes from that board.
            at_home = replace(part, match=None, match_kind=None, sources=(homes[part.match or ""],))
        missing = [n for k in range(1, part.qty + 1) if (n := f"{part.name}#{k}") not in have.get(part.name, ())]
        if missing:
            parts.append(replace(at_home, qty=len(missing)))
            bases.update((f"{part.name}#{k}", n) for k, n in enumerate(missing, start=1))
        for base in sorted(have.get(part.name, ())):
            lack = _lacking(job, part, staves.get(base, []))
            if lack > 0:
                name = f"{part.name} ({base})"
                parts.append(_repair_part(job, at_home, name, lack))
                repairs[name] = Repair(base, part.name, frozenset(stave_of(p.piece) for p in staves[base]))
    known = {n: k for k, n in bases.items()}
    pins = tuple(moved for q in job.pins if (moved := _pin(q, known)) is not None)
    return Reduced(replace(job, parts=tuple(parts), pins=pins), bases, repairs)


def _lacking(job: Job, part: Part, staves: list[Piece]) -> Fraction:
    """Net width that a glued-up piece still lacks."""
    if not staves:
        return Fraction(0)
    edge = job.shop.allowances.edge
    return max(Fraction(0), stave_width_needed(part, job.shop) - sum((p.width - 2 * edge for p in staves), Fraction(0)))


def _repair_part(job: Job, part: Part, name: str, lack: Fraction) -> Part:
    assert part.staves is not None
    least, most = part.staves
    # One stave is asked for at its net width, more than one as a glue-up of their own.
    width = max(lack, least) if lack <= most else lack - 2 * job.shop.allowances.edge
    return replace(part, name=name, qty=1, width=width, match=None, match_kind=None)


def _pin(pin: Pin, known: dict[str, str]) -> Pin | None:
    base = whole_of(pin.piece)
    return replace(pin, piece=known[base] + pin.piece[len(base) :]) if base in known else None


def renamed(job: Job, reduced: Reduced, entry: BoardPlan) -> BoardPlan:
    """A board's plan of the reduced job under the names of the whole job."""
    new = {p.piece: _whole_piece(job, reduced, p) for p in entry.pieces}
    pairs: dict[str, list[str]] = {}
    for p in entry.pieces:
        if job.part_named.get(p.part) and job.part_named[p.part].match_kind == "book" and p.set:
            pairs.setdefault(p.set, []).append(new[p.piece].piece)
    pieces = []
    for p in entry.pieces:
        q = new[p.piece]
        if p.set in pairs and q.show == "sawn":
            q = replace(q, set=f"{job.part_named[q.part].match} {' + '.join(pairs[p.set or ''])}")
        pieces.append(q)
    blanks = tuple(replace(b, pieces=tuple(new[n].piece for n in b.pieces)) for b in entry.blanks)
    return replace(entry, pieces=tuple(pieces), blanks=blanks)


def _whole_piece(job: Job, reduced: Reduced, p: Piece) -> Piece:
    repair = reduced.repairs.get(p.part)
    if repair is not None:
        free = [j for j in range(1, len(repair.taken) + (p.stave or 1) + 1) if j not in repair.taken]
        j = free[(p.stave or 1) - 1]
        return replace(p, piece=f"{repair.base}/{j}", part=repair.part, set=repair.base, stave=j)
    base = reduced.bases[whole_of(p.piece)]
    part = job.part_named[part_of(base)]
    stave = "" if p.stave is None else f"/{p.stave}"
    group = base if p.stave is not None else (part.match if part.match_kind != "book" else p.set)
    return replace(p, piece=base + stave, set=group)
