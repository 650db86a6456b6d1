"""Limits on defects that a grade sets beside its cuttings, as reasons why a board breaks them.

Sources: NHLA Rules Corner articles citing the 2019 Rules (paragraphs named below) and the summary chart of the NHLA
standard grades. Where the chart and another table differ: splits by the chart, wane by the paragraph (another table limits
it to half the width). What a logged rectangle can't tell (how a split diverges, which way a board will surface) is not judged.
"""

from __future__ import annotations

from fractions import Fraction

from yieldopt.trade.faces import Side, not_clear, not_sound, outline_area, seen_from, union_area
from yieldopt.wood.lumber import Board, Defect

FIRST_FOOT = Fraction(12)
KNOTS_AND_HOLES = frozenset({"knot", "loose knot", "worm"})


def fas(board: Board, side: Side, surface: int) -> list[str]:
    """What on one face breaks the limits of FAS; `surface` is the surface measure as tallied, in feet."""
    seen = seen_from(board, side)
    reasons = []
    pith = sum((d.length for d in seen if d.kind == "pith"), Fraction(0))
    if pith > surface:  # chart: inches of pith against feet of surface measure
        reasons.append(f"pith {float(pith):g} in long, {surface} in allowed")
    splits = sum((d.length for d in seen if d.kind == "split"), Fraction(0))
    if splits > max(2 * surface, 12):  # chart
        reasons.append(f"splits {float(splits):g} in long, {max(2 * surface, 12)} in allowed")
    for edge, (length, _) in wane(board, seen).items():
        if length > board.length / 2:  # par. 57
            reasons.append(f"wane on more than half the length of the {edge} edge")
    for d in seen:
        outside = d.x + d.length > FIRST_FOOT and d.x < board.length - FIRST_FOOT
        if d.kind in KNOTS_AND_HOLES and outside and (d.length + d.width) / 2 > Fraction(surface, 3):  # par. 60
            reasons.append(f"{d.kind} at {float(d.x):g} in is wider on average than a third of the surface measure in inches")
    reasons += _first_foot(board, side, "datum", Fraction(0), min(FIRST_FOOT, board.length))
    reasons += _first_foot(board, side, "far", max(Fraction(0), board.length - FIRST_FOOT), board.length)
    return reasons


def f1f_poor_face(board: Board, side: Side) -> list[str]:
    """What breaks the wane limit on the No. 1 Common face of F1F (par. 64)."""
    edges = wane(board, seen_from(board, side))
    reasons = []
    if sum((w for _, w in edges.values()), Fraction(0)) > board.greatest_width / 3:
        reasons.append("wane wider than a third of the width, both edges together")
    reasons += [f"wane on more than half the length of the {e} edge" for e, (n, _) in edges.items() if n > board.length / 2]
    return reasons


def selects(board: Board, side: Side) -> list[str]:
    """What breaks the wane limit of Selects (chart): boards of 6 in and more as F1F, narrower ones a third of the width
    or half the length."""
    if board.greatest_width >= 6:
        return f1f_poor_face(board, side)
    edges = wane(board, seen_from(board, side))
    wide = sum((w for _, w in edges.values()), Fraction(0)) > board.greatest_width / 3
    long = any(n > board.length / 2 for n, _ in edges.values())
    return ["wane wider than a third of the width and longer than half the length"] if wide and long else []


def no_1_common(board: Board, side: Side) -> list[str]:
    """What breaks the pith limit of No. 1 Common (par. 72): half the length in the aggregate."""
    pith = sum((d.length for d in seen_from(board, side) if d.kind == "pith"), Fraction(0))
    return ["pith longer than half the board"] if pith > board.length / 2 else []


def wane(board: Board, seen: tuple[Defect, ...]) -> dict[str, tuple[Fraction, Fraction]]:
    """Total length and greatest width of the wane on each edge, inches."""
    edges: dict[str, tuple[Fraction, Fraction]] = {}
    for d in seen:
        if d.kind == "wane":
            near, far = board.channel(d.x, d.x + d.length)
            edge = "near" if d.y + d.width / 2 <= (near + far) / 2 else "far"
            length, width = edges.get(edge, (Fraction(0), Fraction(0)))
            edges[edge] = (length + d.length, max(width, d.width))
    return edges


def _first_foot(board: Board, side: Side, end: str, x0: Fraction, x1: Fraction) -> list[str]:
    """Par. 59: at least half clear wood and a quarter sound wood; read with the chart, which allows a quarter unsound."""
    area = outline_area(board, x0, x1)
    reasons = []
    if union_area(not_clear(board, side), x0, x1) > area / 2:
        reasons.append(f"less than half of the last foot at the {end} end is clear")
    if union_area(not_sound(board, side), x0, x1) > area / 4:
        reasons.append(f"more than a quarter of the last foot at the {end} end is unsound")
    return reasons
