"""Pieces that stay keep their names: those of one part are alike, so which is which is free where they are planned anew."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from yieldopt.ground.names import part_of, whole_of
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import BoardPlan, Piece, Plan

Place = tuple[object, ...]


def with_lasting_labels(job: Job, old: Plan, boards: Sequence[BoardPlan]) -> list[BoardPlan]:
    """The new plan's boards with each finished part that lies where one of its kind lay under that one's name; a glued-up part
    only if all its staves lie so. Names that pins.csv gives and those of finished pieces are settled."""
    settled = {whole_of(q.piece) for q in job.pins} | {whole_of(p.piece) for e in boards for p in e.pieces if p.state == "done"}
    there = {place: name for name, place in _places(old.boards).items()}
    now = _places(boards)
    names: dict[str, str] = {}
    for part in job.parts:
        mine = [n for n in now if part_of(n) == part.name and n not in settled]
        wanted = {n: w for n in mine if (w := there.get(now[n], "")) and w not in settled and _counts(w, part.name, part.qty)}
        left = iter(n for n in mine if n not in wanted.values())
        names.update({n: wanted[n] if n in wanted else next(left) for n in mine})
    if all(a == b for a, b in names.items()):
        return list(boards)
    sets = {_members(pieces): name for name, pieces in _pairs(job, old.boards).items()}
    return [_relabelled(job, e, names, sets) for e in boards]


def _counts(name: str, part: str, qty: int) -> bool:
    """Is it the name of a piece of the part, and does the part still have so many?"""
    number = name[len(part) + 1 :]
    return part_of(name) == part and number.isascii() and number.isdigit() and 1 <= int(number) <= qty


def _places(boards: Sequence[BoardPlan]) -> dict[str, Place]:
    """By finished part where all of it lies."""
    found: dict[str, list[tuple[object, ...]]] = {}
    for e in boards:
        for p in e.pieces:
            found.setdefault(whole_of(p.piece), []).append((e.board, p.layer, p.x, p.y, p.length, p.width, p.layers, p.thickness))
    return {name: (part_of(name), *sorted(lying)) for name, lying in found.items()}


def _pairs(job: Job, boards: Sequence[BoardPlan]) -> dict[str, list[Piece]]:
    pairs: dict[str, list[Piece]] = {}
    for e in boards:
        for p in e.pieces:
            part = job.part_named.get(p.part)
            if part is not None and part.match_kind == "book" and p.set is not None:
                pairs.setdefault(p.set, []).append(p)
    return pairs


def _members(pieces: Sequence[Piece]) -> frozenset[str]:
    return frozenset(p.piece for p in pieces)


def _relabelled(job: Job, entry: BoardPlan, names: Mapping[str, str], sets: Mapping[frozenset[str], str]) -> BoardPlan:
    def name(piece: str) -> str:
        whole = whole_of(piece)
        return names.get(whole, whole) + piece[len(whole) :]

    pieces = [replace(p, piece=name(p.piece), set=name(p.set) if p.stave is not None and p.set else p.set) for p in entry.pieces]
    named: dict[str, str] = {}
    for old, pair in _pairs(job, [replace(entry, pieces=tuple(pieces))]).items():
        in_order = sorted(pair, key=lambda p: p.layer)
        listed = " + ".join(p.piece for p in in_order)
        named[old] = sets.get(_members(pair), f"{job.part_named[pair[0].part].match} {listed}")
    return replace(
        entry,
        pieces=tuple(replace(p, set=named.get(p.set or "", p.set)) if p.stave is None else p for p in pieces),
        blanks=tuple(replace(b, pieces=tuple(name(n) for n in b.pieces)) for b in entry.blanks),
    )
