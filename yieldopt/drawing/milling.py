"""The milling order as pages: everything to do after marking, in batches across boards, a box to tick for each."""

from __future__ import annotations

from fractions import Fraction

from yieldopt.drawing.cautions import glue_up_cautions
from yieldopt.drawing.flow import Column, Flow
from yieldopt.drawing.primitives import Page
from yieldopt.drawing.setting import Setting
from yieldopt.milling_order import batches, glue_ups, stop_settings
from yieldopt.plan import BoardPlan, Cut

# Days of rest: between first and final milling, and after a resaw (a range of makers' advice; two agreeing moisture
# readings beat any number of days).
REST_DAYS, RESAW_REST_DAYS = 3, 14
# Room for a length in both units, in points.
FIGURES = 100.0
BLANK_LINE = "______________"


def milling_pages(s: Setting) -> list[Page]:
    """The whole order of work for the job."""
    flow = Flow(s.paper, s.running("Milling order", "milling"))
    _rough(
        flow,
        s,
        "1. Rough crosscuts, board by board",
        "crosscut",
        "End trims first, then as numbered. Read each figure from the datum end; leave the tape hooked there.",
    )
    _rough(
        flow,
        s,
        "2. Rough rips, at the bandsaw",
        "rip",
        "Rough stock has no edge for a fence: follow the chalk, or straighten one edge first.",
    )
    _rest(flow, "3. Rest", REST_DAYS, "Sticker the blanks so that air reaches all faces.")
    _flatten(flow, s)
    if any(b.layers > 1 for bp in s.plan.boards for b in bp.blanks):
        _resaw(flow, s)
        _rest(flow, "6. Rest after the resaw", RESAW_REST_DAYS, "Sticker and weight the layers in their order.")
    _batches(flow, s)
    _final(flow, s)
    _glue(flow, s)
    return flow.finish()


def _cuts(bp: BoardPlan, stage: str, kind: str) -> list[Cut]:
    return sorted((c for c in bp.cuts if c.stage == stage and c.kind == kind), key=lambda c: c.order)


def _rough(flow: Flow, s: Setting, title: str, kind: str, words: str) -> None:
    flow.heading(title)
    flow.paragraph(words)
    rows = []
    for bp in s.plan.boards:
        cuts = _cuts(bp, "rough", kind)
        if cuts:
            done = "done" if all(c.state == "done" for c in cuts) else ""
            rows.append((bp.board, str(len(cuts)), "; ".join(f"{c.order} at {s.main(c.at)}" for c in cuts), done))
    flow.table([Column("board", True), Column("cuts"), Column("cut: figure"), Column("")], rows, tick=True)


def _rest(flow: Flow, title: str, days: int, words: str) -> None:
    flow.heading(title)
    flow.paragraph(
        f"{words} Begun {BLANK_LINE}  ready not before {BLANK_LINE} (about {days} days, or when two moisture readings agree).",
        tick=True,
    )


def _flatten(flow: Flow, s: Setting) -> None:
    flow.heading("4. Flatten face A, joint the near edge")
    flow.paragraph(
        "Write the face mark again on the trued face, its tail to the trued edge. Try the feed; chalk the arrow "
        "that leaves no tear-out."
    )
    m = s.job.shop.machines
    rows = []
    for bp in s.plan.boards:
        for b in bp.blanks:
            wide = b.width > m.joint_width
            how = {"sled": "planer sled", "hand": "by hand", "none": "too wide"}[m.wide_flattening] if wide else "jointer"
            feed = s.board(bp.board).notes.get("feed", "") or "□ toward far   □ toward datum"
            rows.append((b.blank, s.size(b.length, b.width), how, feed, s.spare(s.blank_slack[b.blank].spare)))
    flow.table(
        [Column("blank", True), Column("rough L × W"), Column("flatten"), Column("feed"), Column("spare thickness")],
        rows,
        tick=True,
    )


def _resaw(flow: Flow, s: Setting) -> None:
    flow.heading("5. Stress test, then resaw")
    flow.paragraph(
        "Mark ends and edges first: triangle over all layers, V on the hinge edge. Open and look at the inner faces at once."
    )
    rows = []
    for bp in s.plan.boards:
        for cut in _cuts(bp, "resaw", "resaw"):
            board = s.board(bp.board)
            test = "tested" if board.stress == "tested" else "TEST FIRST"
            rows.append((cut.blank or "", str(cut.order), s.both(cut.at), test))
    flow.table([Column("blank", True), Column("cut"), Column("below flattened face A", True), Column("stress")], rows, tick=True)


def _batches(flow: Flow, s: Setting) -> None:
    flow.heading("7. Plane to thickness, thickest first")
    flow.paragraph(
        "One setting, all of its layers. Send the test piece through first and measure it; take the show face last, and little."
    )
    rows = []
    for batch in batches(s.job, s.plan, s.regions):
        names = ", ".join(b if n == 1 else f"{b} layer {i}" for b, i, n in batch.layers)
        t = batch.test
        test = "none among the leftovers: use scrap"
        if t is not None:
            test = f"waste of {t.board} at {s.main(t.x)}, {s.main(t.y)}: {s.size(t.length, t.width)}"
        rows.append((s.both(batch.thickness), batch.assembly, names, test))
    columns = [Column("to", True, FIGURES), Column("assembly"), Column("blanks"), Column("test piece", least=130)]
    if not any(assembly for _, assembly, _, _ in rows):
        flow.table([c for c in columns if c.head != "assembly"], [(to, names, test) for to, _, names, test in rows], tick=True)
    else:
        flow.table(columns, rows, tick=True)


def _final(flow: Flow, s: Setting) -> None:
    rips = [(bp, c) for bp in s.plan.boards for c in _cuts(bp, "final", "rip")]
    flow.heading("8. Rips to final width")
    if rips:
        blanks = {b.blank: b for bp in s.plan.boards for b in bp.blanks}
        rows = [
            (c.blank or "", f"{bp.board}: {c.order}", s.both(c.at - blanks[c.blank].y if c.blank in blanks else c.at))
            for bp, c in rips
        ]
        flow.table([Column("blank", True), Column("cut"), Column("from its near edge")], rows, tick=True)
    widths: dict[Fraction, list[str]] = {}
    for _, p in s.plan.pieces():
        part = s.job.part_named[p.part]
        width = part.width if p.stave is None else p.width - 2 * s.job.shop.allowances.edge
        widths.setdefault(width, []).append(p.piece)
    flow.table(
        [Column("finished width", True, FIGURES), Column("count"), Column("pieces")],
        [(s.both(w), str(len(names)), ", ".join(names)) for w, names in sorted(widths.items(), reverse=True)],
        tick=True,
    )
    flow.heading("9. Final lengths, one stop setting each")
    flow.paragraph(
        "Square one end of all, then set the stop once and cut all of a length. Fit drawers and doors later, to "
        "the case as it is."
    )
    flow.table(
        [Column("stop at", True, FIGURES), Column("count"), Column("pieces")],
        [
            (s.both(length), str(len(pieces)), ", ".join(p.piece for p in pieces))
            for length, pieces in stop_settings(s.job, s.plan).items()
        ],
        tick=True,
    )


def _glue(flow: Flow, s: Setting) -> None:
    ups = glue_ups(s.plan)
    if not ups:
        return
    flow.heading("10. Glue-ups, staves in this order")
    for text in glue_up_cautions(s):
        flow.caution(text)
    flow.paragraph("Lay them dry, close the triangle, check that each stave shows the face it should; then glue.")
    rows = [
        (
            f"△ {name}",
            " | ".join(f"{p.stave}: {board} {p.blank}" for board, p in staves),
            " + ".join(s.main(p.width - 2 * s.job.shop.allowances.edge) for _, p in staves),
        )
        for name, staves in ups.items()
    ]
    flow.table([Column("piece", True), Column("staves: board, blank"), Column("net widths")], rows, tick=True)
