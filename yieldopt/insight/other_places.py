"""Where in spare wood a blank could lie that takes the place of another. Lengths are `Fraction` inches."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.insight.leftovers import RoughPiece
from yieldopt.rules.boards import may_come_from
from yieldopt.rules.clearance import clear_of_pieces
from yieldopt.rules.faces import in_layer, spoilt_by, thrown
from yieldopt.sizes.sizing import blank_width_limit, clear_ends, crook_loss, thickness_need, warp_loss
from yieldopt.wood.lumber import Board, Job, Shop
from yieldopt.wood.plan import Plan
from yieldopt.wood.rectangles import Rect


@dataclass(frozen=True, slots=True)
class Want:
    """What has to find a place in one piece of wood: a piece alone, or a whole pair, slip group or run."""

    species: str
    sawn: str
    # Boards it may come from; empty: any.
    sources: frozenset[str]
    # (along the board, across it) for each way it may lie.
    sizes: tuple[tuple[Fraction, Fraction], ...]
    # Milled thickness of each layer, from face A.
    thicknesses: tuple[Fraction, ...]
    # Defect kinds that all of its parts may hold, and the most clear faces that one of them asks for.
    allow: frozenset[str]
    faces: int


@dataclass(frozen=True, slots=True)
class Place:
    """One place: the wood, the near corner at the datum end, the rough size, and the size of the blank that goes over the
    machines, longer or wider than the piece where the machines ask for more."""

    board: Board
    region: RoughPiece
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    blank_length: Fraction
    blank_width: Fraction


def spare_wood(job: Job, plan: Plan, left: Mapping[str, tuple[RoughPiece, ...]]) -> Iterable[tuple[Board, RoughPiece]]:
    """Kept offcuts, then waste, then boards that are not cut, within their trimmed ends."""
    found = [(job.board_named[bp.board], r) for bp in plan.boards for r in left[bp.board]]
    yield from ((b, r) for b, r in found if r.holds == "offcut")
    yield from ((b, r) for b, r in found if r.holds == "waste")
    cut = {bp.board for bp in plan.boards} | job.leave
    for board in job.boards:
        if board.name not in cut:
            x0, x1 = clear_ends(board, job.shop)
            if x1 > x0:
                near, far = min(p.near for p in board.outline), max(p.far for p in board.outline)
                yield board, RoughPiece(x0, near, x1 - x0, far - near, "blank")


def places(
    want: Want, spare: Iterable[tuple[Board, RoughPiece]], job: Job, most: int, holds: Callable[[Place], bool]
) -> list[Place]:
    """The first `most` places for `want`, one in each stretch of spare wood: thick enough after warp, clear of defects as
    its parts ask, within the machines' limits, and such that `holds` (the independent check) says yes."""
    found: list[Place] = []
    for board, region in spare:
        if len(found) == most:
            break
        if not may_come_from(want, board):
            continue
        if len(want.thicknesses) > 1 and board.stress == "no resaw":
            continue
        for length, width in want.sizes:
            place = _place(want, board, region, length, width, job)
            if place is not None and holds(place):
                found.append(place)
                break
    return found


def _place(want: Want, board: Board, region: RoughPiece, length: Fraction, width: Fraction, job: Job) -> Place | None:
    m = job.shop.machines
    blank_length, blank_width = max(length, m.min_mill_length), max(width, m.min_rip_width)
    if blank_length > region.length or blank_width > min(region.width, blank_width_limit(job.shop, len(want.thicknesses))):
        return None
    need = thickness_need(want.thicknesses, board.stress == "tested", job.shop) + warp_loss(board, blank_length, blank_width)
    crook = crook_loss(board, blank_length)
    if board.thickness < need or blank_width + crook > region.width:
        return None
    boxes = [clear_of_pieces(d, job.shop) for d in board.defects]
    kerf = job.shop.kerf.rip
    xs = {region.x, *(b.along[1] for b in boxes)}
    ys = {region.y, *(b.across[1] for b in boxes)}
    for x in _on_the_tape(xs):
        if x < region.x or x + blank_length > region.x + region.length:
            continue
        near, far = board.channel(x, x + blank_length)
        for y in _on_the_tape({near, near + kerf, *ys}):
            fits = max(near, region.y) <= y and y + blank_width <= min(far, region.y + region.width) - crook
            if fits and _clear(want, board, job.shop, Rect(x, y, blank_length, blank_width)):
                return Place(board, region, x, y, length, width, blank_length, blank_width)
    return None


def _on_the_tape(places: Iterable[Fraction]) -> list[Fraction]:
    """Places moved up to the next sixteenth of an inch, which a person can measure; then the places themselves, for what
    fits only so."""
    exact = sorted(places)
    marks = sorted({Fraction(math.ceil(p * 16), 16) for p in exact})
    return [*marks, *(p for p in exact if p not in marks)]


def _clear(want: Want, board: Board, shop: Shop, blank: Rect) -> bool:
    """Whether every layer has the clear faces asked for. Faces that the resaw opens count as clear as long as no defect
    goes through: nobody has seen them."""
    # What the machines can throw is out, whatever the part may hold.
    if thrown(board.defects, blank, shop):
        return False
    near = [d for d in board.defects if d.kind not in want.allow and clear_of_pieces(d, shop).meets(blank)]
    last = len(want.thicknesses)
    return not any(spoilt_by(want, [d for d in near if in_layer(d, n, last)]) for n in range(1, last + 1))
