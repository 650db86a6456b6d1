"""What stands below the drawing of a board: cuts in order with their saws, blanks, pieces, defects."""

from __future__ import annotations

from fractions import Fraction

from yieldopt.drawing import gluing
from yieldopt.drawing.cutplace import SAWS, cut_place, cut_what
from yieldopt.drawing.flow import Column, Flow
from yieldopt.drawing.setting import Setting
from yieldopt.drawing.waney import edge_notes
from yieldopt.insight.leftovers import Region
from yieldopt.lumber import Board
from yieldopt.plan import BoardPlan, Cut

# Figures of an outline closer than this are one.
HAIR = Fraction(1, 64)


def waste_side(cut: Cut, left: tuple[Region, ...]) -> str:
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
    """Every cut in order, a tick box each."""
    flow.heading("Cuts in order")
    flow.table(
        [
            Column("no.", True),
            Column("cut"),
            Column("saw"),
            Column("at", True, 34),
            Column("beside", least=40),
            Column("measured"),
            Column("along"),
            Column("blank"),
            Column("waste side"),
        ],
        s.rows("cuts", board.name, lambda: _cut_rows(s, board, bp)),
        tick=True,
    )


def _cut_rows(s: Setting, board: Board, bp: BoardPlan) -> list[tuple[str, ...]]:
    left = s.regions[board.name]
    rows: list[tuple[str, ...]] = []
    strip = bp.stress_strip.cuts(bp.cuts) if bp.stress_strip is not None else ()
    for cut in sorted(bp.cuts, key=lambda c: c.order):
        at, origin = cut_place(cut, bp, board)
        where = cut_reach(cut, board, bp, s)
        rows.append(
            (
                str(cut.order),
                cut_what(cut) + (" ✓done" if cut.state == "done" else ""),
                SAWS.get((cut.stage, cut.kind), "saw"),
                s.mark(at) if cut.stage == "rough" else s.main(at),
                s.beside(at),
                origin,
                where,
                cut.blank or ("strip for the stress test" if cut in strip else ""),
                waste_side(cut, left),
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
        near, far = board.channel(cut.at, cut.at)
        if cut.start <= near + HAIR and cut.end >= far - HAIR:
            return "full width"
    elif cut.start <= 0 and cut.end >= board.length:
        return "full length"
    return f"{s.mark(cut.start)} to {s.mark(cut.end)}"


def _layers(bp: BoardPlan, cut: Cut) -> int:
    return next((b.layers for b in bp.blanks if b.blank == cut.blank), 1)


def blank_list(flow: Flow, s: Setting, bp: BoardPlan) -> None:
    """Blanks with rough size, thickness to mill to, and thickness to spare."""
    if not bp.blanks:
        return
    flow.heading("Blanks")
    flow.table(
        [
            Column("blank", True),
            Column("rough length × width", True, 72),
            Column("beside"),
            Column("mill to", True),
            Column("beside"),
            Column("thickness needed"),
            Column("there after warp"),
            Column("to spare"),
        ],
        s.rows("blanks", bp.board, lambda: _blank_rows(s, bp)),
    )
    for note in edge_notes(bp):
        flow.paragraph(note, 9)
    for line in gluing.of_board(s, bp.board):
        flow.paragraph(line, 9.5)


def _blank_rows(s: Setting, bp: BoardPlan) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for b in bp.blanks:
        slack = s.blank_slack[b.blank]
        mill = " + ".join(s.main(t) for t in b.thicknesses)
        beside = " + ".join(s.beside(t) for t in b.thicknesses)
        rows.append(
            (
                b.blank,
                s.rough_size(b.length, b.width),
                s.size_beside(b.length, b.width),
                mill,
                beside,
                s.main(slack.need),
                s.main(Fraction(int(slack.available * 64), 64)),
                s.spare(slack.spare),
            )
        )
    return rows


def piece_list(flow: Flow, s: Setting, bp: BoardPlan) -> None:
    """Pieces with finished size, face to show, and what each has to spare."""
    if not bp.pieces:
        return
    flow.heading("Pieces")
    flow.table(
        [
            Column("no.", True, 30, ringed=True),
            Column("piece", True),
            Column("blank"),
            Column("finished T × W × L", True, 92),
            Column("rough L × W", least=68),
            Column("show"),
            Column("set"),
            Column("spare L / W"),
        ],
        s.rows("pieces", bp.board, lambda: _piece_rows(s, bp)),
    )


def _piece_rows(s: Setting, bp: BoardPlan) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for p in bp.pieces:
        part, slack = s.job.part_named[p.part], s.piece_slack[p.piece]
        width = part.width if p.stave is None else p.width - 2 * s.job.shop.allowances.edge
        size = f"{s.main(part.thickness)} × {s.main(width)} × {s.main(part.length)}"
        anywhere = "both faces" if part.faces == 2 else "either"
        show = {"A": "face A", "B": "face B", "sawn": "sawn face"}.get(p.show or "", anywhere)
        layer = f", layer {p.layer}" if p.layers > 1 else ""
        rows.append(
            (
                str(s.part_numbers[p.part]),
                p.piece + (" ✓done" if p.state == "done" else ""),
                p.blank + layer,
                size,
                s.size(p.length, p.width),
                show,
                ("△ " if s.has_triangle(p) else "") + p.set if p.set else "",
                f"{s.spare(slack.length)} / {s.spare(slack.width)}",
            )
        )
    return rows


def defect_list(flow: Flow, s: Setting, board: Board) -> None:
    """What was logged, with its place."""
    if not board.defects:
        return
    flow.heading("Defects as logged", keep=30)
    rows = [
        (
            d.kind,
            {"A": "face A", "B": "face B", "both": "both faces"}[d.seen_on],
            f"{s.main(d.x)} to {s.main(d.x + d.length)}",
            f"{s.main(d.y)} to {s.main(d.y + d.width)}",
        )
        for d in board.defects
    ]
    flow.table([Column("kind", True), Column("face"), Column("from the datum end"), Column("from the near edge")], rows)
