"""Good wood of a spoiled piece serves a smaller part: laid end to end in what is left of it, in the layer it was cut from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from yieldopt.planning.finish.cutting import Parted, part_cuts
from yieldopt.records.sections import Patch
from yieldopt.replanning.hits import show_face, spoils
from yieldopt.replanning.keeping import Kept
from yieldopt.replanning.noted import Noted
from yieldopt.replanning.wood import EPS, Wood, around, holding, inside, saw
from yieldopt.rules.boards import may_come_from
from yieldopt.sizes.sizing import rough_sizes
from yieldopt.wood.lumber import Job, Part
from yieldopt.wood.plan import Blank, Cut, Piece, Spoiled
from yieldopt.wood.rectangles import Rect


def salvage(job: Job, kept: dict[str, Kept], missing: Sequence[tuple[Part, str]], notes: Noted) -> dict[str, Kept]:
    """`kept` with pieces out of `missing`, given as (part, name), in the good wood of spoiled pieces: the largest that
    fit first, those of no set and in one piece only."""
    pending = sorted(
        ((p, n) for p, n in missing if p.match is None and p.staves is None), key=lambda m: (-m[0].length * m[0].width, m[1])
    )
    out = dict(kept)
    for name, k in kept.items():
        for spent in k.spoiled:
            good = notes.good_of(name, spent)
            if good is None:
                continue
            made = _laid(job, out[name], spent, good, pending)
            if made:
                out[name] = _with(job, out[name], spent, made)
                names = {p.piece for p in made}
                pending = [m for m in pending if m[1] not in names]
    return out


def _laid(job: Job, k: Kept, spent: Spoiled, good: Patch, pending: Sequence[tuple[Part, str]]) -> list[Piece]:
    blank = next((b for b in k.blanks if b.layers == spent.layers and inside(spent, b)), None)
    if blank is None:
        return []
    thickness = blank.thicknesses[spent.layer - 1]
    x, made = good.x, list[Piece]()
    for part, name in pending:
        if abs(part.thickness - thickness) > EPS or not may_come_from(part, k.board):
            continue
        for length, width in rough_sizes(part, job.shop):
            if x + length > good.x + good.length + EPS or width > good.width + EPS:
                continue
            piece = Piece(name, part.name, blank.blank, x, good.y, length, width, spent.layer, spent.layers, thickness)
            if spoils(job, k.board, piece):
                continue
            made.append(replace(piece, show=show_face(job, k.board, piece, part)))
            x += length + job.shop.kerf.crosscut
            break
    return made


def _with(job: Job, k: Kept, spent: Spoiled, made: Sequence[Piece]) -> Kept:
    kerf = job.shop.kerf
    wood = _wood(k, spent, made[0].blank)
    region = Parted(wood.x0, wood.x1, wood.y0, wood.y1)
    rects = [Rect(p.x, p.y, p.length, p.width) for p in made]
    sawn = part_cuts(region, rects, "crosscut", kerf.crosscut, kerf.rip, lambda _a, _b: (wood.y0, wood.y1))
    order = max((c.order for c in k.cuts), default=0)
    layer = spent.layer if spent.layers > 1 else None
    width = {"crosscut": kerf.crosscut, "rip": kerf.rip}
    cuts = tuple(
        Cut(order + n, "final", s.kind, s.at, s.start, s.end, width[s.kind], made[0].blank, layer)
        for n, s in enumerate(sawn, start=1)
    )
    blanks = tuple(
        Blank(b.blank, b.x, b.y, b.length, b.width, b.layers, b.thicknesses, (*b.pieces, *(p.piece for p in made)))
        if b.blank == made[0].blank
        else b
        for b in k.blanks
    )
    spoiled = tuple(s for s in k.spoiled if s is not spent) + _rest(spent, made, kerf.crosscut, kerf.rip)
    return replace(k, cuts=(*k.cuts, *cuts), blanks=blanks, pieces=(*k.pieces, *made), spoiled=spoiled)


def _wood(k: Kept, spent: Spoiled, name: str) -> Wood:
    """The piece of wood that the spoiled piece is, once its blank is cut: it may be larger than the piece."""
    blank = next(b for b in k.blanks if b.blank == name)
    cuts = [c for c in k.cuts if c.blank == name and c.stage == "final" and c.layer in (None, spent.layer)]
    return holding(saw(around(blank), cuts)[0], spent) or around(spent)


def _rest(spent: Spoiled, made: Sequence[Piece], crosscut: Fraction, rip: Fraction) -> tuple[Spoiled, ...]:
    """The largest rectangle of the spoiled piece that no new piece and no kerf takes; none where nothing is left."""
    x0, x1 = min(p.x for p in made), max(p.x + p.length for p in made)
    y0, y1 = min(p.y for p in made), max(p.y + p.width for p in made)
    far, top = spent.x + spent.length, spent.y + spent.width
    sides = [
        (spent.x, x0 - crosscut, spent.y, top),
        (x1 + crosscut, far, spent.y, top),
        (spent.x, far, spent.y, y0 - rip),
        (spent.x, far, y1 + rip, top),
    ]
    a, b, c, d = max(sides, key=lambda s: max(Fraction(0), s[1] - s[0]) * max(Fraction(0), s[3] - s[2]))
    if b - a <= EPS or d - c <= EPS:
        return ()
    return (replace(spent, x=a, y=c, length=b - a, width=d - c),)
