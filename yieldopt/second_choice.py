"""Where else a show part could come from if its first place opens badly. Lengths are `Fraction` inches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from yieldopt.leftovers import Region
from yieldopt.lengths import from_number
from yieldopt.lumber import SOUND_KINDS, SWIRL_KINDS, Board, Defect, Job, Part
from yieldopt.plan import Piece, Plan
from yieldopt.sizing import blank_width_limit, rough_sizes, thickness_need, warp_loss

# Places named for one piece.
MOST = 2
# Board, what is left of it there, then x, y, length and width of the rough piece.
Place = tuple[Board, Region, Fraction, Fraction, Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class Choice:
    """One other place: the rough corner, and what wood that is."""

    piece: str
    board: str
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    # "kept offcut W1-o1", "waste", "uncut board"
    wood: str
    layer: int | None = None


def from_plan(plan: Plan) -> tuple[Choice, ...]:
    """What the planner itself wrote under `second_choices`; entries that can't be read are left out."""
    found = []
    sizes = {p.piece: (p.length, p.width) for _, p in plan.pieces()}
    entries: Any = (plan.extra or {}).get("second_choices", ())
    for entry in entries if isinstance(entries, list) else ():
        try:
            piece = str(entry["piece"])
            found.append(
                Choice(
                    piece,
                    str(entry["board"]),
                    from_number(entry["x"], plan.units),
                    from_number(entry["y"], plan.units),
                    *sizes[piece],
                    wood="another layout",
                    layer=entry.get("layer"),
                )
            )
        except (KeyError, TypeError, ValueError, AttributeError):
            continue
    return tuple(found)


def show_pieces(job: Job, plan: Plan) -> list[Piece]:
    """Pieces that must show a clear face."""
    return [p for _, p in plan.pieces() if job.part_named[p.part].faces > 0 and p.show is not None]


def moves_as_a_set(part: Part, piece: Piece) -> bool:
    """Whether the piece can't be replaced alone: book, slip and run members, and pieces of one colour group."""
    return part.match_kind is not None or piece.stave is not None


def second_choices(job: Job, plan: Plan, left: Mapping[str, tuple[Region, ...]]) -> Mapping[str, tuple[Choice, ...]]:
    """Other places for every show piece that may be replaced alone, by piece. `left` holds
    each cut board's `regions`. First what the planner wrote, else kept
    offcuts, then waste, then uncut boards, each clear of defects as the part asks and thick enough after warp."""
    written: dict[str, tuple[Choice, ...]] = {}
    for choice in from_plan(plan):
        written[choice.piece] = (*written.get(choice.piece, ()), choice)
    spare = list(_spare_wood(job, plan, left))
    found: dict[str, tuple[Choice, ...]] = {}
    answers: dict[str, list[Place]] = {}
    for piece in show_pieces(job, plan):
        part = job.part_named[piece.part]
        if piece.piece in written:
            found[piece.piece] = written[piece.piece][:MOST]
        elif not moves_as_a_set(part, piece):
            if part.name not in answers:
                answers[part.name] = _places(part, spare, job)
            found[piece.piece] = tuple(
                Choice(piece.piece, b.name, x, y, length, width, _wood(r)) for b, r, x, y, length, width in answers[part.name]
            )
    return found


def _wood(region: Region) -> str:
    if region.holds == "offcut":
        return f"kept offcut {region.name}"
    return "uncut board" if region.holds == "blank" else "waste"


def _spare_wood(job: Job, plan: Plan, regions: Mapping[str, tuple[Region, ...]]) -> Iterable[tuple[Board, Region]]:
    left = [(job.board_named[bp.board], r) for bp in plan.boards for r in regions[bp.board]]
    yield from ((b, r) for b, r in left if r.holds == "offcut")
    yield from ((b, r) for b, r in left if r.holds == "waste")
    cut = {bp.board for bp in plan.boards} | job.leave
    end = job.shop.allowances.board_end
    for board in job.boards:
        if board.name not in cut:
            x0 = Fraction(0) if board.datum_sound else end
            x1 = board.length if board.far_sound else board.length - end
            if x1 > x0:
                near, far = min(p.near for p in board.outline), max(p.far for p in board.outline)
                yield board, Region(x0, near, x1 - x0, far - near, "blank")


def _places(part: Part, spare: Iterable[tuple[Board, Region]], job: Job) -> list[Place]:
    found: list[Place] = []
    for board, region in spare:
        if len(found) == MOST:
            break
        if board.species != part.species or (part.sources and board.name not in part.sources):
            continue
        if part.sawn != "any" and board.sawn != part.sawn:
            continue
        for length, width in rough_sizes(part, job.shop):
            place = _place(part, board, region, length, width, job)
            if place is not None:
                found.append((board, region, *place, length, width))
                break
    return found


def _place(
    part: Part, board: Board, region: Region, length: Fraction, width: Fraction, job: Job
) -> tuple[Fraction, Fraction] | None:
    m = job.shop.machines
    blank_length, blank_width = max(length, m.min_mill_length), max(width, m.min_rip_width)
    if blank_width > blank_width_limit(job.shop, 1):
        return None
    need = thickness_need((part.thickness,), True, job.shop) + warp_loss(board, blank_length, blank_width)
    if board.thickness < need or blank_length > region.length or blank_width > region.width:
        return None
    boxes = [_grown(d, job) for d in board.defects]
    kerf = job.shop.kerf.rip
    xs = sorted({region.x, *(b[2] for b in boxes)})
    ys = sorted({region.y, *(b[3] for b in boxes)})
    for x in xs:
        if x < region.x or x + blank_length > region.x + region.length:
            continue
        near, far = board.channel(x, x + blank_length)
        for y in sorted({near, near + kerf, *ys}):
            fits = max(near, region.y) <= y and y + blank_width <= min(far, region.y + region.width)
            if fits and _clear(part, board, boxes, x, y, blank_length, blank_width):
                return x, y
    return None


def _grown(d: Defect, job: Job) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    a = job.shop.allowances
    along, across = (a.defect_along, a.defect_across) if d.kind in SWIRL_KINDS else (Fraction(0), Fraction(0))
    return d.x - along, d.y - across, d.x + d.length + along, d.y + d.width + across


def _clear(
    part: Part,
    board: Board,
    boxes: list[tuple[Fraction, Fraction, Fraction, Fraction]],
    x: Fraction,
    y: Fraction,
    length: Fraction,
    width: Fraction,
) -> bool:
    faces: set[str] = set()
    for d, (x0, y0, x1, y1) in zip(board.defects, boxes, strict=True):
        if x0 >= x + length or x1 <= x or y0 >= y + width or y1 <= y or d.kind in part.allow:
            continue
        if d.kind not in SOUND_KINDS:
            return False
        faces |= {"A", "B"} if d.seen_on == "both" else {d.seen_on}
    return len(faces) <= 2 - part.faces
