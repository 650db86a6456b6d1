"""A strip of labels to stick or copy: they go on ends and edges, where milling leaves them."""

from __future__ import annotations

from dataclasses import dataclass

from yieldopt.drawing.page.flow import Flow
from yieldopt.drawing.page.lettering import ABOVE, BELOW, LEADING, width_of, wrap
from yieldopt.drawing.page.marks import ring
from yieldopt.drawing.page.primitives import Line, Page, Rect, Squares, Text
from yieldopt.drawing.page.qr import MODULE, SMALLEST_SIDE, qr_cells
from yieldopt.drawing.setting import Setting

PAD = 6.0
# Bytes in a code, version 10 at level M (ISO/IEC 18004, table 7): 57 modules, 23 mm at our module.
MOST_BYTES = 213
# Room for one ringed number, and height of their line, in points.
RING_ROOM, RING_LINE = 28.0, 12.5


@dataclass(frozen=True, slots=True)
class Label:
    """One label: its large name and the lines below it."""

    name: str
    lines: tuple[str, ...]
    # Numbers of its parts in the parts list, drawn in rings.
    numbers: tuple[str, ...]
    # What the QR code says.
    payload: str


def labels_of(s: Setting) -> list[Label]:
    """A label for each blank and each kept offcut, in the order of the boards."""
    out = []
    for bp in s.plan.boards:
        for b in bp.blanks:
            pieces = ", ".join(b.pieces)
            numbers = sorted({s.part_numbers[p.part] for p in bp.pieces if p.blank == b.blank})
            mill = " + ".join(s.main(t) for t in b.thicknesses)
            out.append(
                Label(
                    b.blank,
                    (pieces, f"{s.size(b.length, b.width)} · mill to {mill}", f"board {bp.board} · rev. {s.plan.revision}"),
                    tuple(map(str, numbers)),
                    _payload(s, "blank", b.blank, bp.board, pieces),
                )
            )
        for o in bp.offcuts:
            if o.kept:
                board = s.board(bp.board)
                out.append(
                    Label(
                        o.offcut,
                        (
                            "kept offcut",
                            f"{s.size(o.length, o.width)} · {board.quarters} {board.species}",
                            f"board {bp.board} · rev. {s.plan.revision}",
                        ),
                        (),
                        _payload(s, "offcut", o.offcut, bp.board, ""),
                    )
                )
    return out


def _payload(s: Setting, kind: str, name: str, board: str, pieces: str) -> str:
    lines = [f"{kind}: {name}", f"job: {s.plan.job}", f"revision: {s.plan.revision}", f"board: {board}"]
    if pieces:
        lines.append(f"pieces: {pieces}")
    # A QR code holds 2,331 bytes at level M (ISO/IEC 18004); long before that it is too fine for a dusty label, so the list of
    # pieces goes first: the blank's name leads to them.
    for said in (lines, lines[:4], lines[:2]):
        text = "\n".join(said)
        if len(text.encode()) <= MOST_BYTES:
            break
    return text


def label_pages(s: Setting) -> list[Page]:
    """All labels, as many side by side as the paper takes."""
    flow = Flow(s.paper, s.running("Labels", "labels"))
    flow.paragraph(
        "Cut apart; tape on an end or edge, or copy the large name there with a pencil. Names on faces don't survive the planer."
    )
    across = max(1, int(flow.paper.inner_width // 175))
    wide = flow.paper.inner_width / across
    row: list[tuple[Label, tuple[tuple[int, int], ...], float, float]] = []
    labels = labels_of(s)
    for n, label in enumerate(labels):
        cells, modules = qr_cells(label.payload)
        module = max(MODULE, SMALLEST_SIDE / modules)
        row.append((label, cells, module, module * modules))
        if len(row) == across or n == len(labels) - 1:
            _row(flow, row, wide)
            row = []
    return flow.finish()


def _row(flow: Flow, row: list[tuple[Label, tuple[tuple[int, int], ...], float, float]], wide: float) -> None:
    # Four modules of quiet zone round the code (ISO/IEC 18004).
    height = max(side + 8 * module for _, _, module, side in row) + 2
    texts = []
    for label, _, module, side in row:
        beside = wide - side - 8 * module - PAD
        below = beside < 70
        room = wide - 2 * PAD if below else beside
        size = next((z for z in (16.0, 13.0, 11.0) if len(wrap(label.name, room, z, True)) == 1), 10.0)
        lines = [(t, size, True) for t in wrap(label.name, room, size, True, most=4 if below else 2)]
        named = len(lines)
        lines += [(t, 9.0, False) for text in label.lines for t in wrap(text, room, 9.0, most=2)]
        rings = int(room // RING_ROOM) if label.numbers else 0
        texts.append((lines, named, label.numbers[:rings], below))
        tall = sum(z * LEADING for _, z, _ in lines) + 2 * PAD + (RING_LINE if rings else 0)
        height = max(height, side + 8 * module + tall if below else tall)
    flow.need(height)
    x = flow.left
    for (label, cells, module, side), (lines, named, numbers, below) in zip(row, texts, strict=True):
        quiet = 4 * module
        flow.page.add(Rect(x, flow.y, wide, height, 0.5, dash=(4, 3), role="label", data=(("name", label.name),)))
        flow.page.add(Squares(x + quiet, flow.y + quiet, module, cells, "qr", (("payload", label.payload),)))
        at, y = (x + PAD, flow.y + side + 2 * quiet) if below else (x + side + 2 * quiet, flow.y + PAD)
        for n, (text, size, bold) in enumerate(lines):
            if n == named and numbers:
                for i, number in enumerate(numbers):
                    flow.page.add(*ring(at + i * RING_ROOM, y + 9 * ABOVE + 1, number))
                y += RING_LINE
            flow.page.add(Text(at, y + size * ABOVE, text, size, bold, role="label-text"))
            if n == named - 1:
                # Which way up: a cut-out W9 turned over reads 6M.
                under = y + size * (ABOVE + BELOW) + 0.4
                flow.page.add(Line(at, under, at + width_of(text, size, bold), under, 1.2, role="way-up"))
            y += size * LEADING
        x += wide
    flow.y += height
