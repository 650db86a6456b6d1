"""What stands below the drawing of a board: cuts in order with their saws, blanks, pieces, defects."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby

from yieldopt.drawing.board.waney import edge_notes
from yieldopt.drawing.page.flow import Column, Flow
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.words import gluing
from yieldopt.drawing.words.cutplace import SAWS, cut_place
from yieldopt.insight.leftovers import RoughPiece
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import BoardPlan, Cut, Piece

# Figures of an outline closer than this are one.
HAIR = Fraction(1, 64)


def waste_side(cut: Cut, left: tuple[RoughPiece, ...]) -> str:
    """Which side of a rough cut is waste: what lies next to it at the middle of the cut."""
    if cut.stage != "rough":
        return ""
    middle = (cut.start + cut.end) / 2
    sides = []
    for word, at in ((("datum", "near")[cut.kind == "rip"], cut.at), ("far", cut.at + cut.kerf)):
        touching = []
        for r in left:
            low, high = (r.x, r.x + r.length) if cut.kind == "crosscut" else (r.y, r.y + r.width)
            across = r.y <= middle <= r.y + r.width if cut.kind == "crosscut" else r.x <= middle <= r.x + r.length
            if across and (high == at if word != "far" else low == at):
                touching.append(r.holds)
        if not touching or all(h in ("waste", "trim") for h in touching):
            sides.append(word)
    return " and ".join(sides)


def cut_list(flow: Flow, s: Setting, board: Board, bp: BoardPlan) -> None:
    """The rough cuts in order, a tick box each; above them from where their figures are measured, and at which saw."""
    flow.heading("Cuts in order")
    rows = [row[1:] for row in _rows(s, board, bp) if row[0] == "rough"]
    if not rows:
        return
    flow.need(60)
    kinds = [k for k in ("crosscut", "rip") if any(row[1].removesuffix(DONE) == k for row in rows)]
    flow.paragraph(f"Rough cuts: {'; '.join(_measured('rough', kind, bp, board) for kind in kinds)}.", 9)
    flow.table(
        [
            Column("no.", True, 16),
            Column("cut", least=36),
            Column("at", True, 34),
            Column("mm" if s.job.units == "in" else "in", least=34),
            Column("along", whole=True),
            Column("waste"),
        ],
        rows,
        tick=True,
    )


def later_list(flow: Flow, s: Setting, board: Board, bp: BoardPlan) -> None:
    """The cuts that are made in blanks, in order, with the same for each kind of them."""
    later = (row for row in _rows(s, board, bp) if row[0] != "rough")
    unit = " mm" if s.job.units == "in" else '"'
    for (stage, kind), some in groupby(later, key=lambda row: (row[0], row[2].removesuffix(DONE))):
        items = [(number, f"{of} at {at} ({beside}{unit}){_done(cut)}") for _, number, cut, at, beside, _, of in some]
        # What is measured from where stays on the page of its figures.
        flow.need(min(len(items) * 4.0 + 24, 60.0))
        flow.paragraph(f"{stage.capitalize()} cuts: {_measured(stage, kind, bp, board)}.", 9)
        flow.items(items)


def _rows(s: Setting, board: Board, bp: BoardPlan) -> list[tuple[str, ...]]:
    return s.rows("cuts", board.name, lambda: _cut_rows(s, board, bp))


def _measured(stage: str, kind: str, bp: BoardPlan, board: Board) -> str:
    """`crosscuts from the datum end, at the crosscut saw`."""
    one = next(c for c in bp.cuts if c.stage == stage and c.kind == kind)
    return f"{kind}s {cut_place(one, bp, board).origin}, at the {SAWS.get((one.stage, one.kind), 'saw')}"


def _done(cut: str) -> str:
    return DONE if cut.endswith(DONE) else ""


DONE = " ✓done"


def _cut_rows(s: Setting, board: Board, bp: BoardPlan) -> list[tuple[str, ...]]:
    """(stage, number, kind, at, beside, along, waste side or blank)."""
    left = s.regions[board.name]
    rows: list[tuple[str, ...]] = []
    strip = bp.stress_strip.cuts(bp.cuts) if bp.stress_strip is not None else ()
    for cut in sorted(bp.cuts, key=lambda c: c.order):
        at, _ = cut_place(cut, bp, board)
        of = waste_side(cut, left)
        of = "both" if " and " in of else of
        if cut.stage != "rough":
            of = f"{cut.blank or ''}{f', layer {cut.layer}' if cut.layer and _layers(bp, cut) > 1 else ''}"
        rows.append(
            (
                cut.stage,
                str(cut.order),
                cut.kind + (DONE if cut.state == "done" else ""),
                s.mark(at) if cut.stage == "rough" else s.main(at),
                s.beside(at).removesuffix(" mm").removesuffix('"'),
                cut_reach(cut, board, bp, s),
                f"{of}, test strip".removeprefix(", ") if cut in strip else of,
            )
        )
    return rows


def cut_reach(cut: Cut, board: Board, bp: BoardPlan, s: Setting) -> str:
    """How far along its line a cut goes, where it doesn't go right across."""
    if cut.kind == "resaw":
        return "whole blank"
    if cut.stage == "final":
        return "blank" + (f", layer {cut.layer}" if cut.layer and _layers(bp, cut) > 1 else "")
    if cut.kind == "crosscut":
        # On an edge that runs askew the sides of the kerf differ: the shorter one counts, as for the check.
        near, far = board.channel(cut.at, min(cut.at + cut.kerf, board.length))
        if cut.start <= near + HAIR and cut.end >= far - HAIR:
            return "full width"
    elif cut.start <= 0 and cut.end >= board.length:
        return "full length"
    return f"{s.mark(cut.start)} to {s.mark(cut.end)}"


def _layers(bp: BoardPlan, cut: Cut) -> int:
    return next((b.layers for b in bp.blanks if b.blank == cut.blank), 1)


def blank_list(flow: Flow, s: Setting, bp: BoardPlan) -> None:
    """Blanks with their place, rough size, thickness to mill to and what each has to spare, and what is cut from each."""
    if not bp.blanks:
        return
    flow.heading("Blanks and their pieces", keep=40)
    flow.table(
        [
            Column("blank", True),
            Column("near corner", whole=True),
            Column("rough L × W", True, whole=True),
            Column("mill to", True, whole=True),
            Column("no.", True, ringed=True, whole=True),
            Column("piece (layer)" if any(b.layers > 1 for b in bp.blanks) else "piece", True, 50),
            Column("finished T × W × L", whole=True),
            Column("face", least=30),
            Column("spare T ; L / W", whole=True),
        ],
        s.rows("blanks", bp.board, lambda: _blank_rows(s, bp)),
    )
    mills = sorted({t for b in bp.blanks for t in b.thicknesses}, reverse=True)
    mill = "Mill to " + ", ".join(s.both(t) for t in mills) + "."
    flow.paragraph(" ".join((mill, *edge_notes(bp), *_sets(s, bp), *gluing.of_board(s, bp.board))), 9)


def _sets(s: Setting, bp: BoardPlan) -> list[str]:
    """`Set △ drawer fronts: W2-d.` for each set but glue-ups, whose staves are named after them, and pairs of one blank, which
    stand with its resaw."""
    found: dict[str, list[str]] = {}
    for p in bp.pieces:
        told = p.layers > 1 and s.job.part_named[p.part].match_kind == "book"
        if p.set and not told and not p.piece.startswith(p.set):
            blanks = found.setdefault(("△ " if s.has_triangle(p) else "") + p.set, [])
            if p.blank not in blanks:
                blanks.append(p.blank)
    return [f"Set {name}: {', '.join(blanks)}." for name, blanks in found.items()]


def _blank_rows(s: Setting, bp: BoardPlan) -> list[tuple[str, ...]]:
    """(name, near corner from the datum end and the near edge, rough size, thickness of its layers, part's number, pieces,
    finished size, face to show, spare): like pieces share a row, further rows of a blank say the pieces only."""
    rows: list[tuple[str, ...]] = []
    for b in bp.blanks:
        mill = s.main(b.thicknesses[0]) if b.layers == 1 else _layers_words(s, b.thicknesses)
        first = (b.blank, f"{s.main(b.x)} ; {s.main(b.y)}", s.rough_size(b.length, b.width), mill)
        thick = s.spare(s.blank_slack[b.blank].spare)
        for key, pieces in _alike(s, [p for p in bp.pieces if p.blank == b.blank]).items():
            number, size, spare = key
            rows.append((*first, number, _names(pieces), size, _shows(s, pieces), f"{thick} ; {spare}"))
            first = ("", "", "", "")
        if first[0]:
            rows.append((*first, "", "", "", "", thick))
    return rows


def _alike(s: Setting, pieces: Sequence[Piece]) -> dict[tuple[str, ...], list[Piece]]:
    """Pieces of which all is the same but the name, by (part's number, finished size, spare L / W)."""
    grouped: dict[tuple[str, ...], list[Piece]] = {}
    for p in pieces:
        part, slack = s.job.part_named[p.part], s.piece_slack[p.piece]
        width = part.width if p.stave is None else p.width - 2 * s.job.shop.allowances.edge
        size = f"{s.main(part.thickness)} × {s.main(width)} × {s.main(part.length)}"
        key = (str(s.part_numbers[p.part]), size, f"{s.spare(slack.length)} / {s.spare(slack.width)}")
        grouped.setdefault(key, []).append(p)
    return grouped


def _layers_words(s: Setting, thicknesses: tuple[Fraction, ...]) -> str:
    """`2 of 3/8`, or each layer's figure where they differ."""
    if len(set(thicknesses)) == 1:
        return f"{len(thicknesses)} of {s.main(thicknesses[0])}"
    return " + ".join(s.main(t) for t in thicknesses)


def _shows(s: Setting, pieces: Sequence[Piece]) -> str:
    """The face to show: one word for all, else one for each piece in the order of their names."""
    said = []
    for p in pieces:
        anywhere = "both" if s.job.part_named[p.part].faces == 2 else "either"
        said.append({"A": "A", "B": "B", "sawn": "sawn"}.get(p.show or "", anywhere))
    return said[0] if len(set(said)) == 1 else ", ".join(said)


def _names(pieces: Sequence[Piece]) -> str:
    """`side#3, #4 (1, 2)`: the first in full, and in which layers."""
    said = []
    for n, p in enumerate(pieces):
        name = p.piece.removeprefix(p.part) if n and p.piece.startswith(p.part) and p.piece != p.part else p.piece
        said.append(f"{'△ ' if p.stave is not None and not n else ''}{name}{DONE if p.state == 'done' else ''}")
    layers = list(dict.fromkeys(p.layer for p in pieces)) if pieces[0].layers > 1 else []
    order = "" if len(layers) < 2 or len(layers) == len(pieces) else " in turn"
    where = f" ({', '.join(map(str, layers))}{order})" if layers else ""
    return ", ".join(said) + where


def note_list(flow: Flow, s: Setting, bp: BoardPlan) -> None:
    """What the parts list notes of the parts on this board."""
    noted = {p.part: s.job.part_named[p.part].notes.get("note", "") for p in bp.pieces}
    said = [f"{part}: {note}." for part, note in noted.items() if note]
    if said:
        flow.paragraph("Noted of the parts: " + " ".join(said), 9)
