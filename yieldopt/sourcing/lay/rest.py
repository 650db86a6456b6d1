"""What a plan leaves on the rack, and what hidden flaws take from it: the state from which a purchase must suffice."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from yieldopt.luck.surprises import hidden_flaws
from yieldopt.rack.board.cutout import Cutout, take
from yieldopt.rack.board.record import RackBoard
from yieldopt.sourcing.lay.quick import Opened
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.wood.plan import Piece, Plan

# Hidden flaws a square foot by species, grade and nominal thickness.
Rate = Callable[[str, str, Fraction], float]


def spares(boards: Iterable[Board], plan: Plan | None, leave: frozenset[str] = frozenset()) -> tuple[Board, ...]:
    """Boards that a plan leaves alone, and its kept offcuts of full thickness as boards of their own."""
    cut = {bp.board: bp for bp in plan.boards} if plan is not None else {}
    found: list[Board] = []
    for b in boards:
        if b.name in leave:
            continue
        if b.name not in cut:
            found.append(b)
            continue
        for o in cut[b.name].offcuts:
            milled = any(k.x <= o.x < k.x + k.length and k.y <= o.y < k.y + k.width for k in cut[b.name].blanks)
            if o.kept and not milled:
                found.append(take(RackBoard("", b), Cutout(o.x, o.y, o.length, o.width), o.offcut))
    return tuple(found)


def opened(boards: Sequence[Board], rate: Rate, rng: random.Random) -> list[Opened]:
    """The boards, each with flaws that only planing uncovers, `rate` of them a square foot of it."""
    return [(b, hidden_flaws(rng, b, grade_of(b), rate(b.species, grade_of(b), b.nominal))) for b in boards]


def struck(boards: Mapping[str, Board], plan: Plan, rate: Rate, rng: random.Random) -> list[Piece]:
    """Pieces of a plan on `boards` that hidden flaws spoil in one draw: flaws fall evenly, `rate` a square foot, so that a
    piece of area A is spared with chance exp(-rate x A)."""
    rates = {name: rate(b.species, grade_of(b), b.nominal) for name, b in boards.items()}
    return [p for bp, p in plan.pieces() if rng.random() > math.exp(-rates[bp.board] * float(p.length * p.width) / 144)]


def grade_of(board: Board) -> str:
    """The dealer's word for a board of the rack; "" where nobody noted it."""
    return board.notes.get("grade", "")


# Between a part's name and the number of its stave that is made again; behind that of a part which is missing besides.
STAVE, BESIDES = " - stave ", " - again"


def whose(name: str) -> str:
    """The part that a part of `again` or `besides` stands for."""
    return name.partition(STAVE)[0].removesuffix(BESIDES)


def besides(missing: Sequence[Part], more: Sequence[Part]) -> tuple[Part, ...]:
    """Parts that are missing, and more of what `again` gives: what is missing too gets a name, and a group, of its own."""
    names = {p.name for p in missing}

    def apart(p: Part) -> Part:
        if p.name not in names:
            return p
        return replace(p, name=p.name + BESIDES, match=None if p.match is None else p.match + BESIDES)

    return (*missing, *map(apart, more))


def again(job: Job, pieces: Sequence[Piece]) -> tuple[Part, ...]:
    """Parts that must be made again for spoilt pieces: a stave as a piece of its own, a book, slip or run group whole."""
    part: Mapping[str, Part] = job.part_named
    found: list[Part] = []
    counts: dict[str, int] = {}
    groups: set[str] = set()
    for p in pieces:
        whole = part[p.part]
        if p.stave is not None:
            width = p.width - 2 * job.shop.allowances.edge
            name = f"{p.part}{STAVE}{len(found) + 1}"
            found.append(replace(whole, name=name, qty=1, width=width, staves=None, sources=(), match=None, match_kind=None))
        elif whole.match and whole.match_kind in ("book", "slip", "run"):
            groups.add(whole.match)
        else:
            counts[p.part] = counts.get(p.part, 0) + 1
    found += [replace(q, sources=()) for q in job.parts if q.match in groups and q.match]
    # A single piece that must match the colour of finished ones is taken where it can be had.
    return (*found, *(replace(part[n], qty=k, sources=(), match=None, match_kind=None) for n, k in counts.items()))
