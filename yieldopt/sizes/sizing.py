"""From finished part to rough blank: sizes, thickness demand, what warp takes. All lengths are `Fraction` inches."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from yieldopt.wood.lumber import THICK_STOCK, Board, Part, Shop

TWO = 2


def rough_length(part: Part, shop: Shop) -> Fraction:
    """Length of the rough piece along the grain: the part and one `end` at each end."""
    return part.length + TWO * shop.allowances.end


def rough_width(part: Part, shop: Shop) -> Fraction:
    """Width of the rough piece: the part and one `edge` at each edge."""
    return part.width + TWO * shop.allowances.edge


def rough_sizes(part: Part, shop: Shop) -> tuple[tuple[Fraction, Fraction], ...]:
    """(along the board, across it) for each way the part may lie: along, and across too where its grain is `any`."""
    along = (rough_length(part, shop), rough_width(part, shop))
    if part.grain == "length":
        return (along,)
    across = (part.width + TWO * shop.allowances.end, part.length + TWO * shop.allowances.edge)
    return (along,) if across == along else (along, across)


def run_piece_length(part: Part, shop: Shop, first: bool, last: bool) -> Fraction:
    """Rough length of a piece in a run: `end` at the outer ends, `run_end` at ends inside the run."""
    a = shop.allowances
    return part.length + (a.end if first else a.run_end) + (a.end if last else a.run_end)


def stave_width_needed(part: Part, shop: Shop) -> Fraction:
    """What the net widths of an edge-glued part's staves must sum to."""
    return part.width + TWO * shop.allowances.edge


def stave_thickness(part: Part, shop: Shop) -> Fraction:
    """What a stave is milled to at least: its part, and the least that the job wants left for flattening the panel."""
    return part.thickness + shop.allowances.glue_up_least


def thickness_need(thicknesses: Sequence[Fraction], tested: bool, shop: Shop) -> Fraction:
    """Rough thickness that layers of these milled thicknesses need, before warp.

    One layer: thickness and two rough faces. `n` layers: their sum, two rough faces, and for each resaw cut its kerf
    and two sawn faces; and the spare of each layer (see `layer_spare`).
    """
    a = shop.allowances
    n = len(thicknesses)
    need = sum(thicknesses, Fraction(0)) + TWO * a.face
    if n > 1:
        need += (n - 1) * (shop.kerf.resaw + TWO * a.sawn_face) + n * layer_spare(tested, shop)
    return need


def layer_spare(tested: bool, shop: Shop) -> Fraction:
    """What each layer of a resawn blank gets beyond its milled thickness, for wood that moves once it is opened."""
    return shop.allowances.tested_spare if tested else shop.allowances.resaw_spare


def end_trim(nominal: Fraction, shop: Shop) -> Fraction:
    """What comes off each end, unless it is marked sound, of a board of this nominal thickness."""
    a = shop.allowances
    return a.board_end_thick if a.board_end_thick is not None and nominal >= THICK_STOCK else a.board_end


def clear_ends(board: Board, shop: Shop) -> tuple[Fraction, Fraction]:
    """From where to where along the board wood may be used: its length without the trimmed ends."""
    trim = end_trim(board.nominal, shop)
    return Fraction(0) if board.datum_sound else trim, board.length - (0 if board.far_sound else trim)


def warp_loss(board: Board, length: Fraction, width: Fraction) -> Fraction:
    """Thickness that flattening a blank of this size takes, beyond `face`.

    A smooth arc's gap grows with the square of the share cut out of it, so bow x (s/L)^2 + cup x (w/W)^2; twist is
    shared between the diagonals, twist x (s/L) x (w/W) / 2. Derived from geometry; common practice, no source.
    """
    along, across = length / board.length, width / board.greatest_width
    return board.bow * along**2 + board.cup * across**2 + board.twist * along * across / TWO


def crook_loss(board: Board, length: Fraction) -> Fraction:
    """Width that straightening a section of this length takes; an outline has the crook in it already."""
    return board.crook * (length / board.length) ** 2 if board.crook and not board.edges else Fraction(0)


def resaw_depths(thicknesses: Sequence[Fraction], tested: bool, shop: Shop) -> tuple[Fraction, ...]:
    """Depth of each resaw cut below the flattened A face; spare thickness stays with the last layer."""
    a = shop.allowances
    spare = layer_spare(tested, shop)
    depths = []
    for i in range(1, len(thicknesses)):
        depth = sum(thicknesses[:i], Fraction(0)) + (TWO * i - 1) * a.sawn_face + (i - 1) * shop.kerf.resaw + i * spare
        depths.append(depth)
    return tuple(depths)


def blank_width_limit(shop: Shop, layers: int) -> Fraction:
    """Widest blank the machines take: planer, jointer unless wide blanks are flattened otherwise, resaw height."""
    m = shop.machines
    limit = m.planer_width
    if m.wide_flattening == "none":
        limit = min(limit, m.joint_width)
    return min(limit, m.resaw_height) if layers > 1 else limit
