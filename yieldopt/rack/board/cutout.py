"""A part of a board as a board of its own: outline clipped, defects and measured points moved into its frame.

Frames as in `yieldopt.wood.lumber`; the new board keeps the parent's face A and the direction of its datum end.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.rack.board.errors import Refused
from yieldopt.rack.board.record import RackBoard, ThicknessPoint
from yieldopt.rules.faces import in_layer
from yieldopt.wood.lumber import NO_NOTES, Board, Defect, EdgePoint


@dataclass(frozen=True, slots=True)
class Cutout:
    """A rectangle of a board, in the board's frame, and the layer it is of if the board was resawn there.

    `milled` is the layer's thickness where the wood has gone over the machines; None: as rough as the board.
    """

    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction
    layer: int = 1
    layers: int = 1
    milled: Fraction | None = None


def clip(
    board: Board, x0: Fraction, x1: Fraction, y0: Fraction | None = None, y1: Fraction | None = None
) -> tuple[EdgePoint, ...]:
    """The outline between `x0` and `x1`, and between `y0` and `y1` where given, in the parent's frame; exact.

    Where a limit crosses an edge a point is added. Raises `Refused` if no wood is left somewhere between.
    """
    xs = {x0, x1, *(p.x for p in board.outline if x0 < p.x < x1)}
    for a, b in zip(board.outline, board.outline[1:], strict=False):
        for limit, start, end in ((y0, a.near, b.near), (y1, a.far, b.far)):
            if limit is not None and (start - limit) * (end - limit) < 0:
                x = a.x + (b.x - a.x) * (limit - start) / (end - start)
                if x0 < x < x1:
                    xs.add(x)
    points = []
    for x in sorted(xs):
        near, far = board.channel(x, x)
        near = near if y0 is None else max(near, y0)
        far = far if y1 is None else min(far, y1)
        if near >= far:
            raise Refused(f"{board.name} has no wood between those lines all along: the outline leaves them")
        points.append(EdgePoint(x, near, far))
    return tuple(points)


def take(parent: RackBoard, cut: Cutout, name: str) -> Board:
    """The rectangle `cut` of the parent as a board called `name`; the price is left to the caller.

    Raises `Refused` if it is not on the board.
    """
    board = parent.board
    x1, y1 = cut.x + cut.length, cut.y + cut.width
    if cut.x < 0 or x1 > board.length or cut.length <= 0 or cut.width <= 0:
        raise Refused(f"{name} is not on {board.name}: it reaches from {cut.x} to {x1} in of {board.length} in")
    outline = clip(board, cut.x, x1, cut.y, y1)
    lowest, highest = min(p.near for p in outline), max(p.far for p in outline)
    moved = tuple(EdgePoint(p.x - cut.x, p.near - cut.y, p.far - cut.y) for p in outline)
    square = all(p.near == moved[0].near and p.far == moved[0].far for p in moved)
    if square:
        # A plain rectangle measures from its own near edge.
        base, moved = lowest, ()
    else:
        base = cut.y
    thickness = cut.milled if cut.milled is not None else _thinnest(parent, cut.x, x1)
    quarters, nominal = (board.quarters, board.nominal) if cut.milled is None else (nominal_text(cut.milled), cut.milled)
    along, across = cut.length / board.length, (highest - lowest) / board.greatest_width
    rough = 0 if cut.milled is not None else 1
    return replace(
        board,
        name=name,
        quarters=quarters,
        nominal=nominal,
        length=cut.length,
        width=highest - lowest,
        thickness=thickness,
        edges=moved,
        bow=rough * board.bow * along**2,
        cup=rough * board.cup * across**2,
        twist=rough * board.twist * along * across,
        crook=rough * board.crook * along**2 if not moved else Fraction(0),
        # What was milled is flat; a rough piece lies as its board did.
        bow_hollow=board.bow_hollow if rough else "",
        cup_hollow=board.cup_hollow if rough else "",
        crook_hollow=board.crook_hollow if rough and not moved else "",
        # A fresh saw cut has no drying checks yet; an end that was the board's own stays what it was.
        datum_sound=board.datum_sound if cut.x == 0 else True,
        far_sound=board.far_sound if x1 == board.length else True,
        defects=tuple(d for d in (_defect(d, cut, base, highest) for d in board.defects) if d),
        notes=NO_NOTES,
    )


def _thinnest(parent: RackBoard, x0: Fraction, x1: Fraction) -> Fraction:
    """Measured points inside tell; outside them the board's thinnest place must be assumed to run through."""
    inside = [p.thickness for p in parent.thickness_points if x0 <= p.x <= x1]
    return min(inside) if len(inside) > 1 else parent.board.thickness


def points_inside(parent: RackBoard, cut: Cutout) -> tuple[ThicknessPoint, ...]:
    """The parent's thickness points that lie on a rough cutout, in its frame; none where it was milled."""
    if cut.milled is not None:
        return ()
    return tuple(ThicknessPoint(p.x - cut.x, p.thickness) for p in parent.thickness_points if cut.x <= p.x <= cut.x + cut.length)


def _defect(d: Defect, cut: Cutout, base: Fraction, highest: Fraction) -> Defect | None:
    if not in_layer(d, cut.layer, cut.layers):
        return None
    x0, x1 = max(d.x, cut.x), min(d.x + d.length, cut.x + cut.length)
    y0, y1 = max(d.y, base), min(d.y + d.width, highest)
    if x0 >= x1 or y0 >= y1:
        return None
    return replace(d, x=x0 - cut.x, y=y0 - base, length=x1 - x0, width=y1 - y0)


def nominal_text(thickness: Fraction) -> str:
    """The thickness class of milled wood: quarters where it is whole quarters, else its thickness in mm, exact."""
    if (thickness * 4).denominator == 1:
        return f"{thickness * 4}/4"
    mm = thickness * Fraction(254, 10)
    if 10**6 % mm.denominator == 0:
        text = f"{float(mm):.6f}".rstrip("0").rstrip(".")
        return f"{text}mm"
    return f"{thickness.numerator}/{thickness.denominator} in"
