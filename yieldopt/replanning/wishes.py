"""What of a plan goes against the job's wishes: pieces off their pins, what lies in their way, boards that are to be left."""

from __future__ import annotations

from collections.abc import Mapping

from yieldopt.ground.names import part_of, whole_of
from yieldopt.replanning.bench import Bench
from yieldopt.replanning.keeping import keep
from yieldopt.replanning.wood import EPS, Wood
from yieldopt.sizes.sizing import rough_sizes
from yieldopt.wood.lumber import Job, Pin
from yieldopt.wood.plan import Piece, Plan


def against_wishes(job: Job, plan: Plan, benches: Mapping[str, Bench]) -> dict[str, str]:
    """Pieces, not begun, that can't stay where they lie if the wishes are kept: why."""
    lying = {p.piece: (b.board, p) for b, p in plan.pieces()}
    why: dict[str, str] = {}
    for board in job.leave & benches.keys():
        if not benches[board].touched:
            why.update((p.piece, f"{board} is to be left") for p in benches[board].plan.pieces)
    for pin in job.pins:
        there = lying.get(pin.piece)
        if there is not None and _kept(pin, *there):
            continue
        if there is not None and there[1].blank not in benches[there[0]].begun:
            why.setdefault(pin.piece, f"asked for on {pin.board}")
        why = _group(job, plan, pin) | why
        if pin.board in benches:
            why = _in_the_way(job, benches[pin.board], pin, there[1] if there else None, why) | why
    return why


def _kept(pin: Pin, board: str, p: Piece) -> bool:
    near = abs(p.x - pin.x) <= EPS and abs(p.y - pin.y) <= EPS
    return near and board == pin.board and pin.layer in (None, p.layer)


def _group(job: Job, plan: Plan, pin: Pin) -> dict[str, str]:
    """A colour group goes whole to the board that one of it is asked for on."""
    part = job.part_named.get(part_of(pin.piece))
    if part is None or part.match_kind != "board":
        return {}
    members = {p.name for p in job.parts if p.match == part.match}
    word = f"its group goes to {pin.board} with {pin.piece}"
    return {p.piece: word for b, p in plan.pieces() if p.part in members and b.board != pin.board}


def _in_the_way(job: Job, bench: Bench, pin: Pin, piece: Piece | None, gone: Mapping[str, str]) -> dict[str, str]:
    """Pieces of blanks that reach into the place wished for; all of the board where cuts that would stay go through it."""
    part = job.part_named.get(part_of(whole_of(pin.piece)))
    if part is None:
        return {}
    length, width = (piece.length, piece.width) if piece else rough_sizes(part, job.shop)[0]
    kerf = max(job.shop.kerf.rip, job.shop.kerf.crosscut)
    reach = Wood(pin.x - kerf, pin.x + length + kerf, pin.y - kerf, pin.y + width + kerf)
    loose = [b for b in bench.plan.blanks if b.blank not in bench.begun]
    met = [
        b
        for b in loose
        if b.x < reach.x1 - EPS and reach.x0 < b.x + b.length - EPS and b.y < reach.y1 - EPS and reach.y0 < b.y + b.width - EPS
    ]
    why = {n: f"in the way of {pin.piece}" for b in met for n in b.pieces}
    kept = keep(job, bench, frozenset({*gone, *why}), True)
    place = Wood(pin.x, pin.x + length, pin.y, pin.y + width)
    if not kept.uncut and not any(Wood(f.stock.x0, f.stock.x1, f.stock.y0, f.stock.y1).holds(place) for f in kept.free):
        why |= {n: f"makes way for {pin.piece}" for b in loose for n in b.pieces if n not in why}
    return why
