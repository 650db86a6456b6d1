"""Rules 5xx: which defects a piece may hold, and on which face."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from yieldopt.checking.context import Context, rule
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import Rect, rect
from yieldopt.checking.view import View, label
from yieldopt.wood.lumber import SOUND_KINDS, SWIRL_KINDS, Defect, Part
from yieldopt.wood.plan import Piece


def keep_out(c: Context, defect: Defect) -> Rect:
    """The rectangle that a clear piece keeps out of: grain swirls round a knot beyond what is logged, a split and a check
    run on at their ends, and the wood on either side of pith splits."""
    a, none = c.job.shop.allowances, Fraction(0)
    if defect.kind in SWIRL_KINDS:
        return rect(defect).grown(a.defect_along, a.defect_across)
    if defect.kind == "split":
        return rect(defect).grown(a.split_along, none)
    if defect.kind == "check":
        return rect(defect).grown(a.check_along, none)
    if defect.kind == "pith":
        return rect(defect).grown(none, a.pith_across)
    return rect(defect)


def in_layer(defect: Defect, layer: int, layers: int) -> bool:
    """Face A is layer 1, face B the last layer; what goes through is in all."""
    return defect.seen_on == "both" or layer == (1 if defect.seen_on == "A" else layers)


def met(c: Context, view: View, piece: Piece, part: Part) -> Iterator[Defect]:
    """Defects in the piece that its part does not allow; a done piece is excused from defects found later."""
    if piece.state == "done":
        return
    for defect in view.board.defects:
        if (
            defect.kind not in part.allow
            and in_layer(defect, piece.layer, piece.layers)
            and keep_out(c, defect).overlaps(rect(piece))
        ):
            yield defect


def _words(c: Context, defect: Defect) -> str:
    return f"{defect.kind} on {defect.seen_on} at x {c.show(defect.x)}, y {c.show(defect.y)}"


@rule(501)
def unsound(c: Context) -> Iterator[Finding]:
    for view, piece, part in c.pieces():
        for defect in met(c, view, piece, part):
            if defect.kind not in SOUND_KINDS:
                yield finding(501, view.name, label(piece), _words(c, defect), "none")


def _faces(defects: list[Defect]) -> set[str]:
    return {face for d in defects for face in (("A", "B") if d.seen_on == "both" else (d.seen_on,))}


@rule(502)
def sound_on_show(c: Context) -> Iterator[Finding]:
    for view, piece, part in c.pieces():
        shown = [d for d in met(c, view, piece, part) if d.kind in SOUND_KINDS]
        clear = 2 - len(_faces(shown))
        if clear < part.faces:
            yield finding(502, view.name, label(piece), "; ".join(_words(c, d) for d in shown), f"{part.faces} clear faces")


@rule(503)
def show_face(c: Context) -> Iterator[Finding]:
    """Where one face must be clear, `show` names a face that is; book pairs show their sawn faces (rule 605)."""
    for view, piece, part in c.pieces():
        if part.faces != 1 or part.match_kind == "book" or piece.state == "done":
            continue
        spoilt = _faces([d for d in met(c, view, piece, part) if d.kind in SOUND_KINDS])
        clear = [face for face in ("A", "B") if face not in spoilt]
        # A face that the resaw cut opens may be called by its side or `sawn`.
        opened = {"A": piece.layer > 1, "B": piece.layer < piece.layers}
        if clear and any(opened[face] for face in clear):
            clear.append("sawn")
        if piece.show not in clear and clear:
            yield finding(503, view.name, label(piece), f"show {piece.show}", " or ".join(clear))
