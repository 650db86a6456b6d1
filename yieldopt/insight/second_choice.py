"""Where else a show part could come from if its first place opens badly. Lengths are `Fraction` inches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial

from yieldopt.checking.alone import check_blank
from yieldopt.ground.deadline import Deadline
from yieldopt.insight.choice_cost import choice_cost
from yieldopt.insight.leftovers import RoughPiece, regions
from yieldopt.insight.other_places import Place, Want, places, spare_wood
from yieldopt.records.sections import NotReached, OtherPlace, SecondChoices
from yieldopt.records.why import SECOND, not_reached
from yieldopt.sizes.sizing import rough_sizes
from yieldopt.wood.lumber import Job, Part
from yieldopt.wood.plan import Blank, Piece, Plan

# Places named for one piece.
MOST = 2
# The wood of an entry that says none: another program wrote it. Ours are found anew each time, as the job is now.
FOREIGN = "another layout"


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
    # All pieces that move there together; empty: the piece alone.
    together: tuple[str, ...] = ()
    # What using it adds to the net cost at most, in the job's money; None where another program did not say.
    cost: Fraction | None = None


def from_plan(plan: Plan) -> tuple[Choice, ...]:
    """What stands in the plan's file under `second_choices`, for pieces that it has."""
    said = plan.section(SecondChoices)
    pieces = {p.piece: p for _, p in plan.pieces()}
    return tuple(_choice(c, pieces[c.piece]) for c in (said.value if said else ()) if c.piece in pieces)


def _choice(c: OtherPlace, piece: Piece) -> Choice:
    length = piece.length if c.length is None else c.length
    width = piece.width if c.width is None else c.width
    cost = None if c.cost is None else Fraction(repr(float(c.cost)))
    return Choice(c.piece, c.board, c.x, c.y, length, width, FOREIGN if c.wood is None else c.wood, c.together, cost)


def _record(c: Choice) -> OtherPlace:
    cost = None if c.cost is None else round(float(c.cost), 2)
    return OtherPlace(c.piece, c.board, c.x, c.y, c.length, c.width, c.wood, c.together, cost)


def show_pieces(job: Job, plan: Plan) -> list[Piece]:
    """Pieces that must show a clear face, one or both."""
    return [p for _, p in plan.pieces() if job.part_named[p.part].faces > 0]


def moves_as_a_set(part: Part, piece: Piece) -> bool:
    """Whether the piece can't be replaced alone: book pairs, slip groups and runs are cut from one blank."""
    return part.match_kind in ("book", "slip", "run") and piece.stave is None


def second_choices(
    job: Job, plan: Plan, left: Mapping[str, tuple[RoughPiece, ...]], deadline: Deadline | None = None
) -> Mapping[str, tuple[Choice, ...]]:
    """Other places for every show piece, by piece; a stave may change its board, a pair or run moves whole, a piece of a
    `board` group stays on its board.

    `left` holds each cut board's `regions`. First what another program wrote into the plan's file, else kept
    offcuts, then waste, then uncut boards, each clear of defects as the parts ask and thick enough after warp. Pieces that
    a deadline does not reach are left out.
    """
    written: dict[str, tuple[Choice, ...]] = {}
    for choice in from_plan(plan):
        if choice.wood != FOREIGN:
            continue
        written[choice.piece] = (*written.get(choice.piece, ()), choice)
    spare = list(spare_wood(job, plan, left))
    on = {p.piece: bp.board for bp, p in plan.pieces()}
    sets = _sets(job, plan)
    found: dict[str, tuple[Choice, ...]] = {}
    answers: dict[Want, list[Place]] = {}
    for piece in show_pieces(job, plan):
        if piece.piece in written:
            found[piece.piece] = written[piece.piece][:MOST]
            continue
        members = sets.get(piece.piece, [piece])
        want = _want(job, members, on[piece.piece])
        if want not in answers:
            if deadline is not None and deadline.over:
                continue
            answers[want] = places(want, spare, job, MOST, partial(_passes, job, members))
        together = tuple(p.piece for p in members) if len(members) > 1 else ()
        found[piece.piece] = tuple(
            Choice(piece.piece, a.board.name, a.x, a.y, a.length, a.width, _wood(a.region), together, choice_cost(job, a))
            for a in answers[want]
        )
    return found


def choices_of(job: Job, plan: Plan, deadline: Deadline | None = None) -> Mapping[str, tuple[Choice, ...]]:
    """`second_choices` of a plan whose rough cuts are replayed here."""
    return second_choices(job, plan, {bp.board: regions(job.board_named[bp.board], bp, job) for bp in plan.boards}, deadline)


def with_second_choices(job: Job, plan: Plan, deadline: Deadline | None = None) -> Plan:
    """The plan with its second choices written under `second_choices`, for the sheets and for other programs; where the
    deadline did not reach them all, that is written, too."""
    found = choices_of(job, plan, deadline)
    plan = plan.saying(SecondChoices(tuple(_record(c) for choices in found.values() for c in choices)))
    if len(found) < len(show_pieces(job, plan)):
        plan = plan.saying(NotReached(tuple(dict.fromkeys([*not_reached(plan), SECOND]))))
    return plan


def summary(job: Job, plan: Plan) -> str:
    """One line: for how many show pieces there is another place; from the file where that has its second choices."""
    pieces = {p.piece for p in show_pieces(job, plan)}
    if not pieces:
        return "no piece has to show a clear face"
    if plan.section(SecondChoices) is not None:
        have = len(pieces & {c.piece for c in from_plan(plan)})
    else:
        have = sum(1 for c in choices_of(job, plan).values() if c)
    found = " found" if SECOND in not_reached(plan) else ""
    return f"{have} of {len(pieces)} show pieces have a second choice{found}, should the first open badly"


def _sets(job: Job, plan: Plan) -> Mapping[str, list[Piece]]:
    """All members of the set of each piece that only moves whole, by piece."""
    by_set: dict[tuple[str, str], list[Piece]] = {}
    for _, p in plan.pieces():
        if p.set and moves_as_a_set(job.part_named[p.part], p):
            by_set.setdefault((p.blank, p.set), []).append(p)
    return {p.piece: members for members in by_set.values() for p in members}


def _want(job: Job, members: Sequence[Piece], board: str) -> Want:
    parts = [job.part_named[p.part] for p in members]
    first, part = members[0], parts[0]
    sources = frozenset.intersection(*(frozenset(p.sources or job.board_named) for p in parts))
    sources = frozenset() if not any(p.sources for p in parts) else sources or frozenset({board})
    sizes: tuple[tuple[Fraction, Fraction], ...] = rough_sizes(part, job.shop)
    thicknesses: tuple[Fraction, ...] = (part.thickness,)
    if first.stave is not None:
        sizes = ((sizes[0][0], first.width),)
    elif moves_as_a_set(part, first):
        # As it lies now: a pair's or slip group's layers over one footprint, a run from end to end.
        x, y = min(p.x for p in members), min(p.y for p in members)
        sizes = ((max(p.x + p.length for p in members) - x, max(p.y + p.width for p in members) - y),)
        layers = {p.layer: p.thickness for p in members}
        thicknesses = tuple(layers[n] for n in sorted(layers))
    elif part.match_kind == "board":
        sources = frozenset({board})
    return Want(
        part.species,
        next((p.sawn for p in parts if p.sawn != "any"), "any"),
        sources,
        sizes,
        thicknesses,
        frozenset.intersection(*(p.allow for p in parts)),
        max(p.faces for p in parts),
    )


def _passes(job: Job, members: Sequence[Piece], place: Place) -> bool:
    """Whether the independent check lets the pieces lie there, together as they lie now."""
    x, y = min(p.x for p in members), min(p.y for p in members)
    thicknesses = {p.layer: p.thickness for p in members}
    layers = {old: new for new, old in enumerate(sorted(thicknesses), 1)}
    alone = len(members) == 1
    moved = [
        replace(
            p,
            x=place.x + p.x - x,
            y=place.y + p.y - y,
            # A piece alone may be turned there.
            length=place.length if alone else p.length,
            width=place.width if alone else p.width,
            layer=layers[p.layer],
            layers=len(layers),
            state="planned",
        )
        for p in members
    ]
    blank = Blank(
        members[0].blank,
        place.x,
        place.y,
        place.blank_length,
        place.blank_width,
        len(layers),
        tuple(thicknesses[n] for n in sorted(thicknesses)),
        tuple(p.piece for p in moved),
    )
    return not check_blank(job, place.board.name, blank, moved)


def _wood(region: RoughPiece) -> str:
    if region.holds == "offcut":
        return f"kept offcut {region.name}"
    return "uncut board" if region.holds == "blank" else "waste"
