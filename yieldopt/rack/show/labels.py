"""Labels for boards and offcuts: the name in large letters, what it is, and a QR code that leads back to it."""

from __future__ import annotations

from collections.abc import Sequence

from yieldopt.drawing.page.lettering import shorten
from yieldopt.drawing.page.paper import Paper
from yieldopt.drawing.page.primitives import Page, Rect, Squares, Text
from yieldopt.drawing.page.qr import qr_cells
from yieldopt.ground.lengths import Units, show
from yieldopt.rack.board.record import RackBoard

# Points. Modules of at least 1.2 points (0.42 mm) are read by a phone at arm's length.
LABEL_WIDTH, LABEL_HEIGHT, PAD = 270.0, 108.0, 8.0
QR_SIDE = 84.0
# Quiet zone round the code, in modules (ISO/IEC 18004).
QUIET = 4


def payload(record: RackBoard, base: str = "") -> str:
    """What the code says: the board's page on the shop's own server if `base` is its address, else its identity."""
    return f"{base.rstrip('/')}/board/{record.id}" if base else f"board {record.id}"


def label_pages(
    boards: Sequence[RackBoard], paper: Paper, units: Units = "in", base: str = "", parents: dict[str, str] | None = None
) -> list[Page]:
    """As many labels a page as the paper takes, in the order given. `parents`: id -> name, for what offcuts came from."""
    height = paper.height or 0.0
    across = max(1, int((paper.width - 2 * paper.margin) // LABEL_WIDTH))
    down = max(1, int((height - 2 * paper.margin) // LABEL_HEIGHT))
    pages = []
    for start in range(0, len(boards), across * down):
        page = Page(paper.width, height, "labels", "labels")
        for n, record in enumerate(boards[start : start + across * down]):
            x = paper.margin + n % across * LABEL_WIDTH
            y = paper.margin + n // across * LABEL_HEIGHT
            _label(page, record, x, y, units, base, (parents or {}).get(record.origin.parent, "") if record.origin else "")
        pages.append(page)
    return pages


def _label(page: Page, r: RackBoard, x: float, y: float, units: Units, base: str, parent: str) -> None:
    b = r.board
    page.add(Rect(x, y, LABEL_WIDTH, LABEL_HEIGHT, 0.4, dash=(3.0, 3.0), grey=0.5, role="label", data=(("board", b.name),)))
    cells, modules = qr_cells(payload(r, base))
    side = QR_SIDE / (modules + 2 * QUIET)
    left = x + LABEL_WIDTH - PAD - QR_SIDE
    page.add(Squares(left + QUIET * side, y + (LABEL_HEIGHT - QR_SIDE) / 2 + QUIET * side, side, cells, role="qr"))
    room = left - x - 2 * PAD
    size = 24.0
    while size > 12.0 and shorten(b.name, room, size, True).endswith("…"):
        size -= 1.0
    page.add(Text(x + PAD, y + 34.0, shorten(b.name, room, size, True), size, True, role="name"))
    from_line = f"from {parent}" if parent else r.dealer
    thick = f"{show(b.thickness, units)} thick"
    lines = [
        f"{b.quarters} {b.species}", f"{show(b.length, units)} × {show(b.greatest_width, units)}",
        " · ".join(t for t in (thick, f"sawn {b.sawn}" if b.sawn else "", r.grade) if t), from_line,
    ]  # fmt: skip
    for n, line in enumerate(line for line in lines if line):
        page.add(Text(x + PAD, y + 52.0 + 13.5 * n, shorten(line, room, 10.0), 10.0))


def label_file(pages: Sequence[Page], suffix: str) -> str | bytes:
    """The pages as one file; `suffix`: `.pdf`, or `.svg` with all pages below each other."""
    from yieldopt.drawing.backends.pdf import write_pdf
    from yieldopt.drawing.backends.svg import write_svg

    return write_pdf(pages, "labels") if suffix == ".pdf" else write_svg(pages, "labels")
