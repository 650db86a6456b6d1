"""What falls off the saw: the plan's rough cuts replayed on the board, and where its wood went.

Lengths are `Fraction` inches, volumes cubic inches at nominal thickness.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from yieldopt.rules.offcuts import unsound, unsound_in
from yieldopt.sizes.sizing import end_trim
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Offcut, Spoiled

ZERO = Fraction(0)
Holds = Literal["blank", "offcut", "spoiled", "trim", "waste"]


@dataclass(frozen=True, slots=True)
class RoughPiece:
    """One of the rectangles that the rough cuts part, as far as it lies inside the outline."""

    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    holds: Holds
    # Of the blank or offcut it holds; else "".
    name: str = ""


@dataclass(frozen=True, slots=True)
class WoodAccount:
    """Where one board's wood went, cubic inches of its nominal volume; the fields add up to it."""

    board: str
    # Finished parts; wood milled off them and the rest of their blanks; offcuts kept.
    parts: Fraction
    shavings: Fraction
    kept: Fraction
    kerf: Fraction
    trim: Fraction
    # Unsound defects in what is left, and the rest of it.
    defects: Fraction
    waste: Fraction


Span = tuple[Fraction, Fraction, Fraction, Fraction]


def _split(spans: Sequence[Span], cut: Cut) -> list[Span]:
    out: list[Span] = []
    middle = (cut.start + cut.end) / 2
    for x0, y0, x1, y1 in spans:
        if cut.kind == "crosscut" and y0 <= middle <= y1 and x0 < cut.at + cut.kerf and cut.at < x1:
            out += [(x0, y0, cut.at, y1), (cut.at + cut.kerf, y0, x1, y1)]
        elif cut.kind == "rip" and x0 <= middle <= x1 and y0 < cut.at + cut.kerf and cut.at < y1:
            out += [(x0, y0, x1, cut.at), (x0, cut.at + cut.kerf, x1, y1)]
        else:
            out.append((x0, y0, x1, y1))
    return [s for s in out if s[2] > s[0] and s[3] > s[1]]


def regions(board: Board, bp: BoardPlan, job: Job) -> tuple[RoughPiece, ...]:
    """The rectangles the board is in after its rough cuts, from the datum end, near edge first."""
    outline = board.outline
    spans: list[Span] = [(ZERO, min(p.near for p in outline), board.length, max(p.far for p in outline))]
    for cut in sorted((c for c in bp.cuts if c.stage == "rough"), key=lambda c: c.order):
        spans = _split(spans, cut)
    end = end_trim(board.nominal, job.shop)
    found = []
    for x0, y0, x1, y1 in spans:
        near, far = board.channel(x0, x1)
        low, high = max(y0, near), min(y1, far)
        if high <= low:
            continue
        holds, name = _held(bp, x0, y0, x1, y1)
        if not name and (x1 <= end or x0 >= board.length - end):
            holds = "trim"
        found.append(RoughPiece(x0, low, x1 - x0, high - low, holds, name))
    return tuple(sorted(found, key=lambda r: (r.x, r.y)))


def clear_wood(board: Board, r: RoughPiece, length: Fraction, width: Fraction) -> RoughPiece | None:
    """The largest rectangle in a region that holds no unsound defect, at least so long and so wide; None where there is none."""
    if r.length < length or r.width < width:
        return None
    x1, y1 = r.x + r.length, r.y + r.width
    d = unsound_in(board.defects, r)
    if d is None:
        return r
    # Whatever is clear of this one lies wholly before it, behind it, below it or above it.
    sides = (
        replace(r, length=d.x - r.x),
        replace(r, x=d.x + d.length, length=x1 - d.x - d.length),
        replace(r, width=d.y - r.y),
        replace(r, y=d.y + d.width, width=y1 - d.y - d.width),
    )
    found = [c for side in sides if (c := clear_wood(board, side, length, width)) is not None]
    return max(found, key=lambda c: (c.length * c.width, -c.x, -c.y), default=None)


def _held(bp: BoardPlan, x0: Fraction, y0: Fraction, x1: Fraction, y1: Fraction) -> tuple[Holds, str]:
    def inside(o: Blank | Offcut | Spoiled) -> bool:
        x, y = o.x + o.length / 2, o.y + o.width / 2
        return bool(x0 <= x <= x1 and y0 <= y <= y1)

    for blank in bp.blanks:
        if inside(blank):
            return "blank", blank.blank
    for offcut in bp.offcuts:
        if offcut.kept and inside(offcut):
            return "offcut", offcut.offcut
    for lost in bp.spoiled:
        if inside(lost):
            return "spoiled", lost.piece
    return "waste", ""


def wood_account(board: Board, bp: BoardPlan, job: Job, found: Sequence[RoughPiece]) -> WoodAccount:
    """Where the wood of one board went; `found` are its `regions`. Kerfs count over their whole extent; the shares
    add up to the board exactly."""
    total = board.area * board.nominal
    parts = sum((_finished_volume(bp, i, job) for i in range(len(bp.pieces))), ZERO)
    in_blank = {b.blank: b for b in bp.blanks}
    kept = ZERO
    for o in bp.offcuts:
        if o.kept:
            holder = next((b for b in bp.blanks if _inside(o.x, o.y, b.x, b.y, b.length, b.width)), None)
            kept += o.length * o.width * (holder.thicknesses[o.layer - 1] if holder else board.nominal)
    kerf = milled_kerf = ZERO
    for cut in bp.cuts:
        area = cut.kerf * (cut.end - cut.start)
        if cut.stage == "rough":
            kerf += area * board.nominal
        elif cut.stage == "resaw" and cut.blank in in_blank:
            milled_kerf += area * in_blank[cut.blank].width
        elif cut.blank in in_blank:
            b = in_blank[cut.blank]
            thick = b.thicknesses[cut.layer - 1] if cut.layer else sum(b.thicknesses, ZERO)
            milled_kerf += area * thick
    blanks = sum((b.length * b.width for b in bp.blanks), ZERO) * board.nominal
    inner_kept = sum(
        (
            o.length * o.width * b.thicknesses[o.layer - 1]
            for o in bp.offcuts
            if o.kept
            for b in bp.blanks
            if _inside(o.x, o.y, b.x, b.y, b.length, b.width)
        ),
        ZERO,
    )
    shavings = max(ZERO, blanks - parts - milled_kerf - inner_kept)
    left = [r for r in found if r.holds in ("trim", "waste", "spoiled")]
    trim = sum((r.length * r.width for r in left if r.holds == "trim"), ZERO) * board.nominal
    defects = _defect_area(board, [r for r in left if r.holds != "trim"]) * board.nominal
    used = parts + shavings + kept + kerf + milled_kerf
    trim = min(trim, total - used)
    defects = max(ZERO, min(defects, total - used - trim))
    return WoodAccount(board.name, parts, shavings, kept, kerf + milled_kerf, trim, defects, total - used - trim - defects)


def _inside(x: Fraction, y: Fraction, bx: Fraction, by: Fraction, length: Fraction, width: Fraction) -> bool:
    return bx <= x < bx + length and by <= y < by + width


def _finished_volume(bp: BoardPlan, index: int, job: Job) -> Fraction:
    piece = bp.pieces[index]
    part = job.part_named[piece.part]
    width = piece.width - 2 * job.shop.allowances.edge if piece.stave is not None else part.width
    return part.length * width * part.thickness


def _defect_area(board: Board, left: Sequence[RoughPiece]) -> Fraction:
    """Area of unsound defects inside the regions, each spot once however many rectangles cover it."""
    area = ZERO
    for r in left:
        clipped = []
        for d in unsound(board.defects):
            x0, x1 = max(d.x, r.x), min(d.x + d.length, r.x + r.length)
            y0, y1 = max(d.y, r.y), min(d.y + d.width, r.y + r.width)
            if x0 < x1 and y0 < y1:
                clipped.append((x0, y0, x1, y1))
        xs = sorted({v for c in clipped for v in (c[0], c[2])})
        ys = sorted({v for c in clipped for v in (c[1], c[3])})
        for a, b in itertools.pairwise(xs):
            for c, d2 in itertools.pairwise(ys):
                if any(q[0] <= a and b <= q[2] and q[1] <= c and d2 <= q[3] for q in clipped):
                    area += (b - a) * (d2 - c)
    return area
