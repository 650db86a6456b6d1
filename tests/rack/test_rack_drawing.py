"""What a person sees: the drawing in the terminal, the SVG, labels whose codes are read back, the chart of yields."""

from __future__ import annotations

import io
import subprocess
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from hypothesis import given
from making import KNOT, entry, records

from yieldopt.cli import main
from yieldopt.drawing.backends.svg import write_svg
from yieldopt.drawing.page.lettering import SMALLEST
from yieldopt.drawing.page.paper import A4, LETTER
from yieldopt.drawing.page.primitives import Page, Polygon, Rect, Squares, Text
from yieldopt.ground.lengths import Units, show
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.cut.cuttings import YieldLine
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.show.labels import label_pages, payload
from yieldopt.rack.show.picture import MARGIN, picture, svg
from yieldopt.rack.show.sketch import LETTERS, sketch
from yieldopt.rack.show.yield_chart import chart
from yieldopt.wood.lumber import EdgePoint


def test_a_sketch_to_the_letter() -> None:
    knot = replace(KNOT, x=F(10), y=F(6), length=F(4), width=F(2))
    split = replace(KNOT, kind="split", x=F(36), y=F(0), length=F(4), width=F(1))
    board = entry("A1", length=40, width=8, defects=(knot, split)).board
    assert sketch(board, columns=42, ascii_only=True) == [
        "face A (far edge at the top, datum end at the left)",
        " ----------------------------------------",
        "|          kkkk                          |",
        "|                                        |",
        "|                                        |",
        "|                                    XXXX|",
        " ----------------------------------------",
        " '           '           '              '",
        " 0           12          24             40",
        "key: k knot, X split",
    ]


def test_a_wandering_board_is_drawn_in_its_own_shape() -> None:
    edges = (EdgePoint(F(0), F(0), F(8)), EdgePoint(F(40), F(0), F(2)))
    lines = sketch(entry("A1", length=40, width=8, edges=edges).board, columns=42, ascii_only=True)
    assert lines[1:7] == [
        " -------",
        "|       -------------",
        "|                    -------------",
        "|                                 -------",
        "|                                        |",
        " ----------------------------------------",
    ]


@given(records())
def test_any_board_can_be_sketched_and_its_defects_show(r: RackBoard) -> None:
    lines = sketch(r.board)
    drawing = "\n".join(line for line in lines if not line.startswith(("face", "key")))
    assert all(len(line) <= 90 for line in lines[:-1] if not line.startswith("key"))
    shown = {d.kind for d in r.board.defects}
    # One defect may hide another that lies in the same cell, but never all of them.
    assert not shown or any(LETTERS[k] in drawing for k in shown)


@given(records())
def test_the_picture_is_to_scale_and_readable(r: RackBoard) -> None:
    page = picture(r, facts=["one", "two"])
    along = (page.width - 2 * MARGIN) / float(r.board.length)
    outline = next(m for m in page.marks if isinstance(m, Polygon) and m.role == "outline")
    assert abs(max(x for x, _ in outline.points) - min(x for x, _ in outline.points) - float(r.board.length) * along) < 0.01
    boxes = [m for m in page.marks if isinstance(m, Rect) and m.role == "defect"]
    faces = sum(2 if d.seen_on == "both" else 1 for d in r.board.defects)
    assert len(boxes) == faces
    assert all(t.size >= SMALLEST for t in page.texts())
    assert all(0 <= t.y <= page.height for t in page.texts())
    ElementTree.fromstring(svg(r, facts=["<&>"]))


def marks(page: Page, kind: type) -> list[object]:
    return [m for m in page.marks if isinstance(m, kind)]


def decoded(page: Page) -> list[str]:
    """What an independent reader (ZXing) finds in the page's codes, drawn as they lie."""
    import zxingcpp
    from PIL import Image, ImageDraw

    scale = 3
    image = Image.new("L", (round(page.width * scale), round(page.height * scale)), 255)
    pen = ImageDraw.Draw(image)
    for mark in page.marks:
        if isinstance(mark, Squares):
            for column, row in mark.cells:
                x, y = (mark.x + column * mark.side) * scale, (mark.y + row * mark.side) * scale
                pen.rectangle((round(x), round(y), round(x + mark.side * scale) - 1, round(y + mark.side * scale) - 1), fill=0)
    return sorted(found.text for found in zxingcpp.read_barcodes(image))


@pytest.mark.parametrize("base", ["", "http://shop:8000"])
def test_label_codes_lead_back_to_their_boards(base: str) -> None:
    boards = [entry(f"狭い {n}" if n % 2 else f"A{n}") for n in range(9)]
    pages = label_pages(boards, A4, base=base)
    assert sorted(text for page in pages for text in decoded(page)) == sorted(payload(b, base) for b in boards)
    assert payload(boards[0], "http://shop:8000/") == f"http://shop:8000/board/{boards[0].id}"


def test_labels_fill_pages_and_overlap_nowhere() -> None:
    pages = label_pages([entry(f"a very long name of a board that does not fit on its label {n}") for n in range(30)], LETTER)
    assert sum(len([m for m in p.marks if isinstance(m, Rect) and m.role == "label"]) for p in pages) == 30
    for page in pages:
        rects = [m for m in page.marks if isinstance(m, Rect) and m.role == "label"]
        for i, a in enumerate(rects):
            assert a.x >= 0
            assert a.x + a.width <= page.width
            assert a.y + a.height <= page.height
            assert all(a.x + a.width <= b.x + 0.01 or a.y + a.height <= b.y + 0.01 for b in rects[i + 1 :])
        assert all(isinstance(t, Text) and t.size >= SMALLEST for t in marks(page, Text))


@pytest.mark.parametrize("units", ["in", "mm"])
def test_sizes_are_never_cut_short_on_a_label(units: Units) -> None:
    """As of a metric board on a label in inches, and of an inch board in millimetres."""
    awkward = entry(length=F(2946123, 25400), width=F(1571, 254))
    thick = replace(awkward, board=replace(awkward.board, thickness=F(10001, 9000)))
    lines = [t.text for t in marks(label_pages([thick], LETTER, units)[0], Text)]
    for size in (thick.board.length, thick.board.width, thick.board.thickness):
        assert any(show(size, units) in line for line in lines)


@pytest.mark.browser
def test_a_printed_label_is_read_back(tmp_path: Path) -> None:
    """Drawn by a browser from the SVG, as it would be printed."""
    import zxingcpp
    from PIL import Image

    boards = [entry("A1"), entry("A2")]
    page = label_pages(boards, LETTER)[0]
    (tmp_path / "l.svg").write_text(write_svg([page], "labels"), encoding="utf-8")
    shot = tmp_path / "l.png"
    options = ["--headless", "--no-sandbox", "--disable-gpu", "--window-size=900,1100", "--force-device-scale-factor=2"]
    subprocess.run(
        ["chromium", *options, f"--screenshot={shot}", str(tmp_path / "l.svg")], check=True, capture_output=True, timeout=120
    )
    assert {found.text for found in zxingcpp.read_barcodes(Image.open(shot))} == {payload(b) for b in boards}


@pytest.mark.parametrize("kind", ["svg", "png", "pdf"])
def test_the_chart_is_drawn_whatever_the_headings(kind: str) -> None:
    lines = [YieldLine(h, 1, F(1000), F(100), F(500), F(10), F(1)) for h in ("$x^$", "狭い", "a" * 80, "<&>")]
    content = chart(lines, "dealer", kind, "in")
    if kind == "png":
        from PIL import Image

        assert Image.open(io.BytesIO(content)).width > 300
    elif kind == "svg":
        ElementTree.fromstring(content)
    else:
        assert content.startswith(b"%PDF")


def test_the_bars_add_up_to_the_wood_bought() -> None:
    from matplotlib.figure import Figure

    from yieldopt.rack.show.yield_chart import draw

    axes = Figure().add_subplot()
    draw(axes, [YieldLine("sideboard", 2, F(1440), F(288), F(720), F(90), F(10))], "job", "in")
    assert [round(bar.get_height(), 6) for bar in axes.patches] == [5, 2, 3]
    assert axes.texts[0].get_text() == "62%"


def test_the_commands_draw(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Rack.open(file, create=True) as rack:
        rack.log(entry("A1", defects=(KNOT,)))
    at = ["--rack", str(file)]
    assert main(["rack", "show", "A1", "--svg", str(tmp_path / "a.svg"), "--ascii", *at]) == 0
    said = capsys.readouterr().out
    assert said.isascii()
    assert "key: k knot" in said
    ElementTree.parse(tmp_path / "a.svg")
    for name in ("l.pdf", "l.svg"):
        assert main(["rack", "labels", "--out", str(tmp_path / name), *at]) == 0
        assert (tmp_path / name).stat().st_size > 1000
    assert main(["rack", "labels", "--out", str(tmp_path / "l.doc"), *at]) == 2
    assert main(["rack", "labels", "B7", "--out", str(tmp_path / "b.pdf"), *at]) == 2
    assert not (tmp_path / "b.pdf").exists()
