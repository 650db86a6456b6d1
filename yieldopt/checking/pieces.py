"""Rules 4xx: sizes, species, how it is sawn, thickness, staves."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from yieldopt.checking.context import Context, base_name, rule
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import EPS
from yieldopt.checking.view import label
from yieldopt.wood.lumber import Part

# How much thicker than its part a stave may be milled: the contract of the format, see docs/reference/plan.md.
THICKER_STAVE = Fraction(1, 4)


@rule(401, 402)
def rough_sizes(c: Context) -> Iterator[Finding]:
    """Finished size plus allowances, along or (grain `any`) across the board; runs and staves lie along it.
    The lengths of a run's pieces hang on their place in it: see `run_ends`."""
    a = c.job.shop.allowances
    for view, piece, part in c.pieces():
        in_run = part.match_kind == "run"
        needs = [(Fraction(0) if in_run else part.length + 2 * a.end, part.width + 2 * a.edge)]
        if piece.stave is not None:
            # Net widths of staves have rules of their own.
            needs = [(part.length + 2 * a.end, Fraction(0))]
        elif part.grain == "any" and not in_run:
            needs.append((part.width + 2 * a.end, part.length + 2 * a.edge))
        if any(piece.length >= along - EPS and piece.width >= across - EPS for along, across in needs):
            continue
        along, across = min(needs, key=lambda n: max(n[0] - piece.length, Fraction(0)) + max(n[1] - piece.width, Fraction(0)))
        if piece.length < along - EPS:
            yield finding(401, view.name, label(piece), c.show(piece.length), f"{c.show(along)} or more")
        if piece.width < across - EPS:
            yield finding(402, view.name, label(piece), c.show(piece.width), f"{c.show(across)} or more")


@rule(403, 404, 405)
def right_wood(c: Context) -> Iterator[Finding]:
    for view, piece, part in c.pieces():
        board = view.board
        if part.species.casefold() != board.species.casefold():
            yield finding(403, view.name, label(piece), board.species, part.species)
        if part.sources and board.name not in part.sources:
            yield finding(404, view.name, label(piece), board.name, ", ".join(part.sources))
        if part.sawn not in ("any", board.sawn):
            yield finding(405, view.name, label(piece), board.sawn or "not known", part.sawn)


@rule(406, 407)
def thickness(c: Context) -> Iterator[Finding]:
    """A piece has its part's thickness and is milled to it; a stave, and the layer it lies in, may have up to
    `THICKER_STAVE` more, for flattening the glued panel."""
    for view, piece, part in c.pieces():
        most = part.thickness + (THICKER_STAVE if piece.stave is not None else 0)
        if not part.thickness - EPS <= piece.thickness <= most + EPS:
            yield finding(406, view.name, label(piece), c.show(piece.thickness), _range(c, part.thickness, most))
        blank = view.blanks.get(piece.blank)
        if blank is not None and 1 <= piece.layer <= len(blank.thicknesses):
            milled = blank.thicknesses[piece.layer - 1]
            most = max(most if piece.stave is not None else piece.thickness, piece.thickness)
            if not piece.thickness - EPS <= milled <= most + EPS:
                yield finding(407, view.name, label(piece), f"a layer of {c.show(milled)}", _range(c, piece.thickness, most))


def _range(c: Context, least: Fraction, most: Fraction) -> str:
    return c.show(least) if least == most else f"{c.show(least)} to {c.show(most)}"


@rule(408, 410)
def stave_widths(c: Context) -> Iterator[Finding]:
    edge = c.job.shop.allowances.edge
    for view, piece, part in c.pieces():
        if piece.stave is None:
            continue
        net = piece.width - 2 * edge
        if part.staves is None:
            yield finding(410, view.name, label(piece), f"stave {piece.stave}", "one piece")
        elif not part.staves[0] - EPS <= net <= part.staves[1] + EPS:
            yield finding(408, view.name, label(piece), c.show(net), f"{c.show(part.staves[0])} to {c.show(part.staves[1])}")


@rule(411)
def left_for_flattening(c: Context) -> Iterator[Finding]:
    """Where the shop wants something left on staves, each layer of them is milled that much thicker than the part; what is
    finished is excused."""
    least = c.job.shop.allowances.glue_up_least
    for view, piece, part in c.pieces():
        blank = view.blanks.get(piece.blank)
        if piece.stave is None or piece.state == "done" or blank is None or not 1 <= piece.layer <= len(blank.thicknesses):
            continue
        over = blank.thicknesses[piece.layer - 1] - part.thickness
        if over < least - EPS:
            yield finding(411, view.name, label(piece), f"{c.show(over)} over the part", f"{c.show(least)} or more")


@rule(409)
def stave_sums(c: Context) -> Iterator[Finding]:
    edge = c.job.shop.allowances.edge
    sums: dict[str, tuple[Part, Fraction]] = {}
    for _, piece, part in c.pieces():
        if piece.stave is not None:
            before = sums.get(base_name(piece.piece), (part, Fraction(0)))[1]
            sums[base_name(piece.piece)] = part, before + piece.width - 2 * edge
    for name, (part, total) in sums.items():
        # The glued-up panel is jointed on both edges like any piece.
        if total < part.width + 2 * edge - EPS:
            yield finding(409, None, f"piece {name}", c.show(total), f"{c.show(part.width + 2 * edge)} or more")
