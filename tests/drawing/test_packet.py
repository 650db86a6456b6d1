"""The files that `chalk` writes."""

from __future__ import annotations

import itertools
import json
import re
from fractions import Fraction as F
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pytest
from made_up import HOSTILE, made_up
from pypdf import PdfReader

from yieldopt.cli import main
from yieldopt.drawing.packet.labels import labels_of
from yieldopt.drawing.packet.names import file_names
from yieldopt.drawing.packet.packet import draw_packet, packet_files
from yieldopt.drawing.page.lettering import clean
from yieldopt.drawing.page.paper import A4, LETTER, OVERLAP, Paper, rows_for, scale_for
from yieldopt.drawing.page.qr import qr_cells
from yieldopt.ground.files import write_all_atomically
from yieldopt.reading.writing import job_files
from yieldopt.records.planfile import dumps
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan


def _folder(tmp_path: Path, job: Job, plan: Plan) -> Path:
    write_all_atomically(tmp_path / "job", job_files(job))
    (tmp_path / "plan.json").write_text(dumps(plan), encoding="utf-8")
    return tmp_path / "plan.json"


def test_chalk_writes_a_sheet_a_board_and_the_packet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job, plan = made_up(1, missing=True)
    assert main(["chalk", str(_folder(tmp_path, job, plan)), "--out", str(tmp_path / "out")]) == 0
    assert "INCOMPLETE" in capsys.readouterr().out
    sheets = sorted(p.name for p in (tmp_path / "out" / "sheets").iterdir())
    assert sheets == sorted(f"{bp.board}.svg" for bp in plan.boards)
    for path in (tmp_path / "out" / "sheets").iterdir():
        assert "INCOMPLETE PLAN" in path.read_text(encoding="utf-8")
    assert (tmp_path / "out" / "packet.pdf").read_bytes().startswith(b"%PDF-")
    assert "<!DOCTYPE html>" in (tmp_path / "out" / "packet.html").read_text(encoding="utf-8")


def test_a_plan_that_fails_its_check_is_not_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job, plan = made_up(1)
    path = _folder(tmp_path, job, plan)
    body = json.loads(path.read_text(encoding="utf-8"))
    body["boards"][0]["pieces"][0]["width"] = 0.25
    path.write_text(json.dumps(body), encoding="utf-8")
    assert main(["chalk", str(path), "--out", str(tmp_path / "out")]) == 1
    assert "nothing was drawn" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("text", ["", "{}", "not json", "\x00"])
def test_what_is_no_plan_is_refused_without_a_traceback(tmp_path: Path, text: str, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "plan.json").write_text(text, encoding="utf-8")
    assert main(["chalk", str(tmp_path / "plan.json"), "--out", str(tmp_path / "out")]) == 2
    assert "plan" in capsys.readouterr().err


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda p: p.name)
def test_pdf_pages_have_the_papers_size_their_text_and_embedded_fonts(paper: Paper) -> None:
    job, plan = made_up(4, boards=2, missing=True)
    packet = draw_packet(job, plan, paper, "2026-01-01")
    data = packet_files(job, plan, paper, "2026-01-01")["packet.pdf"]
    assert isinstance(data, bytes)
    reader = PdfReader(BytesIO(data))
    assert len(reader.pages) == len(packet.pages)
    for n, (page, mine) in enumerate(zip(reader.pages, packet.pages, strict=True), 1):
        assert float(page.mediabox.width) == pytest.approx(mine.width, abs=0.01)
        assert float(page.mediabox.height) == pytest.approx(mine.height, abs=0.01)
        text = page.extract_text()
        assert {mine.width, mine.height} == {paper.width, paper.height}
        assert f"page {n} of {len(packet.pages)}" in text
        words = "".join(text.split())
        for t in mine.texts():
            assert "".join(t.text.split()) in words, t.text
        fonts = [f.get_object() for f in page["/Resources"]["/Font"].values()]
        sheet_fonts = [f for f in fonts if "Yieldopt" in f["/BaseFont"] or "DejaVu" in f["/BaseFont"]]
        assert sheet_fonts
        assert all("/FontFile2" in f["/FontDescriptor"].get_object() for f in sheet_fonts)


def test_the_same_plan_gives_the_same_bytes() -> None:
    job, plan = made_up(5, boards=2)
    assert packet_files(job, plan, LETTER, "d") == packet_files(job, plan, LETTER, "d")


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {k for k, _ in attrs}


@pytest.mark.parametrize("seed", [1, 3, 9])
def test_hostile_names_are_harmless_in_every_file(seed: int) -> None:
    job, plan = made_up(seed, boards=2, hostile=True, missing=True)
    files = packet_files(job, plan, LETTER, "2026-01-01")
    html = files["packet.html"]
    assert isinstance(html, str)
    parser = _Tags()
    parser.feed(html)
    assert parser.tags <= {
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "nav",
        "a",
        "main",
        "section",
        "svg",
        "g",
        "line",
        "rect",
        "polygon",
        "polyline",
        "path",
        "text",
    }
    assert not any(a.startswith("on") for a in parser.attributes)
    # Nothing is fetched: the only addresses are inside the page, in it as data, or names of formats.
    assert set(re.findall(r"""(?:href|src)\s*=\s*["']([^#"'][^"']*)""", html)) == set()
    assert all(u.startswith("data:") for u in re.findall(r"url\(([^)]*)\)", html))
    for name, content in files.items():
        if name.endswith(".svg"):
            assert isinstance(content, str)
            ElementTree.fromstring(content)
            assert re.fullmatch(r"wall\.svg|sheets/[A-Za-z0-9_][A-Za-z0-9._-]*\.svg", name)
        if isinstance(content, str):
            assert not re.search(
                "[\x00-\x08\x0b\x0c\x0e-\x1f\u202a-\u202e\u2066-\u2069]", re.sub(r'data-\w+="[^"]*"', "", content)
            )


def test_file_names_are_safe_and_unique_whatever_the_names() -> None:
    names = [*HOSTILE, "A1", "a1", "A1 ", "a/1", "a_1", "..", "", "con", "CON.x", "é", "e"]
    made = file_names(names)
    stems = [made[n] for n in names]
    assert len({s.lower() for s in stems}) == len(set(names))
    assert all(re.fullmatch(r"[A-Za-z0-9_][A-Za-z0-9._-]*", s) and len(s) < 100 for s in stems)
    assert made["A1"] == "A1"


def test_a_label_for_each_blank_and_kept_offcut_with_its_name_and_job_in_the_code() -> None:
    job, plan = made_up(6)
    setting = draw_packet(job, plan).setting
    labels = labels_of(setting)
    names = [b.blank for bp in plan.boards for b in bp.blanks] + [o.offcut for bp in plan.boards for o in bp.offcuts]
    assert sorted(x.name for x in labels) == sorted(names)
    for label in labels:
        assert label.name in label.payload
        assert plan.job in label.payload


def test_qr_codes_are_whole() -> None:
    """Size and finder patterns by ISO/IEC 18004: 17 + 4 v modules, a 7 x 7 ring with a 3 x 3 core in three corners."""
    cells, side = qr_cells("blank: A1-a\njob: a shelf")
    assert (side - 17) % 4 == 0
    dark = set(cells)
    for c0, r0 in ((0, 0), (side - 7, 0), (0, side - 7)):
        for c in range(7):
            for r in range(7):
                ring = c in (0, 6) or r in (0, 6)
                core = 2 <= c <= 4 and 2 <= r <= 4
                assert ((c0 + c, r0 + r) in dark) == (ring or core)


def test_rows_cover_the_board_and_overlap_at_breaks() -> None:
    for length in (10.0, 40.0, 96.0, 191.7):
        rows = rows_for(length, 35.0, [1.9, 30.0, 62.1, 90.0])
        assert rows[0].start == 0
        assert rows[-1].end == length
        assert all(r.end - r.start <= 35.0 + 1e-9 for r in rows)
        for a, b in itertools.pairwise(rows):
            assert a.end - b.start == pytest.approx(2 * OVERLAP)
    with pytest.raises(ValueError, match="too short"):
        rows_for(10, 3.0, [])


def test_the_scale_is_the_largest_that_fits() -> None:
    n, rows = scale_for(96, 8, [33.0, 62.125], 480, 560, 80)
    assert len(rows) * (8 * 72 / n + 80) <= 560
    larger = rows_for(96, 480 / (72 / (n - 1)), [33.0, 62.125])
    assert len(larger) > 4 or len(larger) * (8 * 72 / (n - 1) + 80) > 560


def test_every_part_and_every_cut_is_in_the_lists() -> None:
    job, plan = made_up(8, missing=True)
    packet = draw_packet(job, plan)
    cover = " ".join(t.text for p in packet.before for t in p.texts())
    for part in job.parts:
        assert clean(part.name) in cover
    for bp in plan.boards:
        texts = [t.text for p in packet.sheets[bp.board] for t in p.texts()]
        assert all(str(c.order) in texts for c in bp.cuts)
        assert all(any(clean(b.blank) in t for t in texts) for b in bp.blanks)
        assert F(0) <= bp.credit


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_labels_are_read_back_by_a_bar_code_reader(seed: int) -> None:
    """zxing-cpp, an outside reader, finds in each code what the label says; hostile names in UTF-8 included."""
    import numpy as np
    import zxingcpp

    job, plan = made_up(seed, boards=3, hostile=seed % 2 == 1)
    for label in labels_of(draw_packet(job, plan).setting):
        cells, side = qr_cells(label.payload)
        image = np.full((4 * (side + 8), 4 * (side + 8)), 255, np.uint8)
        for c, r in cells:
            image[4 * (r + 4) : 4 * (r + 5), 4 * (c + 4) : 4 * (c + 5)] = 0
        assert [found.text for found in zxingcpp.read_barcodes(image)] == [label.payload]
